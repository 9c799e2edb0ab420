package synth

import (
	"math"

	"stopledger/decode/geometry"
)

// A Capsule is a thick line with round ends.
type Capsule struct {
	From, To geometry.Point // ends of its axis, pixels
	Radius   float64        // pixels
	Light    Light          // all over
	Soft     float64        // width of the edge in pixels, at least 1
}

// Paint implements Part.
func (c Capsule) Paint(r Row) {
	soft := max(c.Soft, 1)
	reach := c.Radius + soft
	if r.Y < min(c.From.Y, c.To.Y)-reach || r.Y > max(c.From.Y, c.To.Y)+reach {
		return
	}
	dx, dy := c.To.X-c.From.X, c.To.Y-c.From.Y
	length := max(dx*dx+dy*dy, 1e-9)
	from, to := r.span(min(c.From.X, c.To.X)-reach, max(c.From.X, c.To.X)+reach)
	for i := from; i < to; i++ {
		px, py := r.X+float64(i)-c.From.X, r.Y-c.From.Y
		t := min(max((px*dx+py*dy)/length, 0), 1)
		d := math.Hypot(px-t*dx, py-t*dy)
		if cover := (c.Radius-d)/soft + 0.5; cover > 0 {
			r.blend(i, c.Light, float32(min(cover, 1)))
		}
	}
}

// A Figure is a person on foot seen from the side, feet at (X, Y), in oilskins with a bright
// band. It walks while its path moves it.
type Figure struct {
	X, Y, Height float64 // pixels
	Coat         Light   // body and arms
	Trousers     Light   // legs; the cap is half as light
	Skin         Light   // head
	Steps        float64 // a second
	Path         Path    // nil stands
	Soft         float64 // motion blur: width of edges in pixels
}

func (f Figure) still() bool { return f.Steps == 0 && f.Path == nil }

// Paint implements Part.
func (f Figure) Paint(r Row) {
	for _, c := range f.limbs(r.T) {
		c.Paint(r)
	}
}

func (f Figure) limbs(t float64) []Capsule {
	x, y := f.X, f.Y
	if f.Path != nil {
		dx, dy := f.Path(t)
		x, y = x+dx, y+dy
	}
	h := f.Height
	swing := 0.13 * h * math.Sin(2*math.Pi*f.Steps/2*t)
	at := func(dx, up float64) geometry.Point { return geometry.Pt(x+dx, y-up) }
	limb := func(a, b geometry.Point, radius float64, l Light) Capsule {
		return Capsule{From: a, To: b, Radius: radius * h, Light: l, Soft: f.Soft}
	}
	hip, chest := at(0, 0.48*h), at(0, 0.76*h)
	band := Light{0.75, 0.78, 0.72}
	return []Capsule{
		limb(chest, at(-0.8*swing, 0.5*h), 0.032, f.Coat.Times(0.7)),
		limb(hip, at(-swing, 0.02*h), 0.05, f.Trousers.Times(0.8)),
		limb(hip, at(swing, 0.02*h), 0.05, f.Trousers),
		limb(at(0, 0.5*h), chest, 0.095, f.Coat),
		limb(at(-0.085*h, 0.6*h), at(0.085*h, 0.6*h), 0.012, band),
		limb(chest, at(0.8*swing, 0.5*h), 0.035, f.Coat.Times(1.15)),
		limb(at(0, 0.91*h), at(0.01*h, 0.92*h), 0.062, f.Skin),
		limb(at(-0.02*h, 0.955*h), at(0.015*h, 0.955*h), 0.048, f.Trousers.Times(0.5)),
	}
}

// Moving is a part that follows a path.
type Moving struct {
	Part Part // as it is at time 0
	Path Path // its displacement
}

func (m Moving) still() bool { return false }

// Paint implements Part.
func (m Moving) Paint(r Row) {
	dx, dy := m.Path(r.T)
	r.X -= dx
	r.Y -= dy
	m.Part.Paint(r)
}

func (m Moving) marks() []Mark {
	var out []Mark
	if k, ok := m.Part.(marked); ok {
		for _, mark := range k.marks() {
			mark.Path = m.Path
			out = append(out, mark)
		}
	}
	return out
}

// Steadily moves vx, vy pixels a second.
func Steadily(vx, vy float64) Path {
	return func(t float64) (dx, dy float64) { return vx * t, vy * t }
}

// Handheld wavers by a few pixels, as a card in a hand does.
func Handheld(pixels float64) Path {
	return func(t float64) (dx, dy float64) {
		return pixels * (math.Sin(2.1*t) + 0.4*math.Sin(5.3*t+1)), pixels * (math.Sin(1.7*t+2) + 0.4*math.Sin(4.4*t))
	}
}
