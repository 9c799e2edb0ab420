package synth

import (
	"math"
	"testing"

	"stopledger/decode/geometry"
)

// painted is the light of parts in a frame, one channel after another, at a time.
func painted(w, h int, at float64, parts ...Part) [3][]float32 {
	var out [3][]float32
	for c := range out {
		out[c] = make([]float32, w*h)
	}
	for y := range h {
		r := Row{X: 0.5, Y: float64(y) + 0.5, T: at,
			R: out[0][y*w : (y+1)*w], G: out[1][y*w : (y+1)*w], B: out[2][y*w : (y+1)*w]}
		for _, p := range parts {
			p.Paint(r)
		}
	}
	return out
}

func total(light []float32) (sum float64) {
	for _, v := range light {
		sum += float64(v)
	}
	return sum
}

// centre is the centre of gravity of light.
func centre(light []float32, w int) geometry.Point {
	var p geometry.Point
	for i, v := range light {
		p = p.Add(geometry.Pt(float64(i%w)+0.5, float64(i/w)+0.5).Scale(float64(v)))
	}
	return p.Scale(1 / total(light))
}

// spread is how far light reaches, from the first lit column and row to the last.
func spread(light []float32, w int, least float32) (x0, y0, x1, y1 int) {
	x0, y0, x1, y1 = w, len(light), -1, -1
	for i, v := range light {
		if v > least {
			x0, x1 = min(x0, i%w), max(x1, i%w)
			y0, y1 = min(y0, i/w), max(y1, i/w)
		}
	}
	return x0, y0, x1, y1
}

// A capsule carries as much light as its area, 2 r l + pi r^2, whatever its place and softness.
func TestCapsuleKeepsItsArea(t *testing.T) {
	for _, c := range []Capsule{
		{From: geometry.Pt(60, 60), To: geometry.Pt(60, 60), Radius: 20},
		{From: geometry.Pt(40, 60), To: geometry.Pt(90, 60), Radius: 10},
		{From: geometry.Pt(40.3, 35.8), To: geometry.Pt(88.1, 79.4), Radius: 12.5},
		{From: geometry.Pt(60, 30), To: geometry.Pt(60.5, 90), Radius: 15, Soft: 6},
	} {
		c.Light = Grey(1)
		want := 2*c.Radius*c.From.Distance(c.To) + math.Pi*c.Radius*c.Radius
		got := total(painted(120, 120, 0, c)[1])
		// Coverage by distance from the edge is exact for a straight one; the round ends of 10 to
		// 20 pixels are off by less than a hundredth of a pixel of their edge.
		if math.Abs(got/want-1) > 0.004 {
			t.Errorf("%+v: light %.1f, area %.1f", c, got, want)
		}
		if at := centre(painted(120, 120, 0, c)[1], 120); at.Distance(geometry.Mix(c.From, c.To, 0.5)) > 0.01 {
			t.Errorf("%+v: centre at %v", c, at)
		}
	}
}

// A soft edge rises over its width: from nothing to all over Soft pixels around the radius.
func TestCapsuleEdge(t *testing.T) {
	c := Capsule{From: geometry.Pt(50, 50), To: geometry.Pt(50, 50), Radius: 20, Soft: 8, Light: Grey(1)}
	row := painted(100, 100, 0, c)[0][50*100 : 51*100]
	for x, v := range row {
		d := math.Hypot(float64(x)+0.5-50, 0.5)
		want := min(max((20-d)/8+0.5, 0), 1)
		if math.Abs(float64(v)-want) > 1e-6 {
			t.Errorf("%.1f pixels from the centre: %.4f, want %.4f", d, v, want)
		}
	}
}

// A figure stands on its feet, is as tall as told, and wears what it is told to: coat over trousers,
// skin above both.
func TestFigureStands(t *testing.T) {
	f := Figure{X: 100, Y: 180, Height: 150, Coat: Light{1, 0, 0}, Trousers: Light{0, 0, 1}, Skin: Light{0, 1, 0}}
	if !f.still() {
		t.Error("a figure that does not walk is not still")
	}
	got := painted(200, 200, 0, f)
	if at := painted(200, 200, 3.7, f); total(at[0]) != total(got[0]) {
		t.Error("it moves")
	}
	_, top, _, bottom := spread(got[0], 200, 0.01)
	for c := 1; c < 3; c++ {
		_, y0, _, y1 := spread(got[c], 200, 0.01)
		top, bottom = min(top, y0), max(bottom, y1)
	}
	if tall := float64(bottom - top + 1); math.Abs(tall-150) > 10 || bottom < 175 || bottom > 188 {
		t.Errorf("from row %d to %d, %.0f tall, want 150 on row 180", top, bottom, tall)
	}
	head, coat, legs := centre(got[1], 200).Y, centre(got[0], 200).Y, centre(got[2], 200).Y
	if !(head < coat && coat < legs) {
		t.Errorf("head at row %.0f, coat at %.0f, legs at %.0f", head, coat, legs)
	}
	if at := centre(got[0], 200).X; math.Abs(at-100) > 2 {
		t.Errorf("it stands at column %.1f, want 100", at)
	}
}

// A step is half a swing of the legs: after two steps the figure looks the same, after one its legs
// have changed places, and half way through a step they are apart by a quarter of its height.
func TestFigureWalks(t *testing.T) {
	f := Figure{X: 100, Y: 180, Height: 150, Coat: Grey(1), Trousers: Light{0, 0, 1}, Skin: Grey(1), Steps: 2}
	if f.still() {
		t.Error("a figure that walks is still")
	}
	legs := func(at float64) []float32 { return painted(200, 200, at, f)[2] }
	same := func(a, b []float32) bool {
		for i := range a {
			if math.Abs(float64(a[i]-b[i])) > 1e-4 {
				return false
			}
		}
		return true
	}
	if a, b := legs(0.1), legs(1.1); !same(a, b) {
		t.Error("two steps later it looks different")
	}
	feet := func(at float64) int {
		x0, _, x1, _ := spread(legs(at)[165*200:], 200, 0.3)
		return x1 - x0
	}
	// Feet swing by 0.13 of the height either way, at a sine of the time.
	if together, apart := feet(0), feet(0.25); apart-together < 30 || apart-together > 45 {
		t.Errorf("feet span %d pixels together and %d apart", together, apart)
	}
}

// The path carries the whole figure.
func TestFigureFollowsItsPath(t *testing.T) {
	f := Figure{X: 60, Y: 180, Height: 120, Coat: Grey(1), Trousers: Grey(1), Skin: Grey(1), Path: Steadily(40, -5)}
	from, to := centre(painted(240, 200, 0, f)[1], 240), centre(painted(240, 200, 2, f)[1], 240)
	if moved := to.Sub(from); moved.Distance(geometry.Pt(80, -10)) > 0.05 {
		t.Errorf("it has moved by %v, want 80, -10", moved)
	}
}

// Motion blur widens the figure's edges and keeps its light.
func TestFigureBlurKeepsItsLight(t *testing.T) {
	f := Figure{X: 100, Y: 180, Height: 150, Coat: Grey(1), Trousers: Grey(1), Skin: Grey(1)}
	sharp := total(painted(200, 200, 0, f)[1])
	f.Soft = 3
	// Limbs lie over each other, so that soft edges let some of what lies behind through.
	if soft := total(painted(200, 200, 0, f)[1]); math.Abs(soft/sharp-1) > 0.05 {
		t.Errorf("light %.0f sharp, %.0f soft", sharp, soft)
	}
}

func TestPaths(t *testing.T) {
	if x, y := Steadily(3, -2)(1.5); x != 4.5 || y != -3 {
		t.Errorf("steadily: %g, %g", x, y)
	}
	hand := Handheld(5)
	largest := 0.0
	for i := range 2000 {
		x, y := hand(float64(i) / 25)
		largest = max(largest, math.Abs(x), math.Abs(y))
	}
	if largest < 5 || largest > 5*1.4+1e-9 {
		t.Errorf("a hand that wavers by 5 pixels goes up to %.2f", largest)
	}
	card := NewCard(geometry.Upright(20, 20, 30, 30), 0.18)
	m := Moving{Part: card, Path: Steadily(10, 0)}
	if m.still() || isStill(m) || !isStill(card) {
		t.Error("what moves is taken for still, or what is still for moving")
	}
	marks := m.marks()
	if len(marks) != 1 || marks[0].Path == nil || card.marks()[0].Path != nil {
		t.Errorf("marks %+v", marks)
	}
	moved, there := painted(100, 80, 2, m)[1], painted(100, 80, 0, NewCard(geometry.Upright(40, 20, 30, 30), 0.18))[1]
	for i := range moved {
		if math.Abs(float64(moved[i]-there[i])) > 1e-6 {
			t.Fatalf("pixel %d: %g moved, %g there", i, moved[i], there[i])
		}
	}
	if (Moving{Part: Fill{}, Path: Steadily(1, 1)}).marks() != nil {
		t.Error("a fill has a mark")
	}
}

// A panel's light is everywhere inside the same, and blends by its share at the edges.
func TestPanelBlends(t *testing.T) {
	got := painted(40, 20, 0, Fill{Light{0.2, 0.4, 0.8}}, NewPanel(geometry.Upright(10.25, 5, 20, 10), Light{1, 1, 1}, 1))
	for c, ground := range []float64{0.2, 0.4, 0.8} {
		row := got[c][10*40 : 11*40]
		for x, want := range map[int]float64{5: ground, 9: ground, 10: ground + 0.75*(1-ground), 11: 1, 29: 1,
			30: ground + 0.25*(1-ground), 31: ground} {
			if math.Abs(float64(row[x])-want) > 1e-6 {
				t.Errorf("channel %d, column %d: %.4f, want %.4f", c, x, row[x], want)
			}
		}
	}
}

func TestLightArithmetic(t *testing.T) {
	if got := (Light{1, 2, 3}).Times(0.5); got != (Light{0.5, 1, 1.5}) {
		t.Errorf("half is %v", got)
	}
	if got := Mix(Light{0, 2, 4}, Light{4, 2, 0}, 0.25); got != (Light{1, 2, 3}) {
		t.Errorf("a quarter of the way is %v", got)
	}
	if got := Grey(0.18); got != (Light{0.18, 0.18, 0.18}) {
		t.Errorf("grey is %v", got)
	}
}

// A row's span holds the samples whose centres lie between two places, cut to the row.
func TestSpanOfARow(t *testing.T) {
	r := Row{X: 10.5, R: make([]float32, 20)}
	for _, c := range []struct {
		x0, x1   float64
		from, to int
	}{{10.5, 12.5, 0, 3}, {10.6, 12.4, 1, 2}, {-5, 11, 0, 1}, {28.5, 99, 18, 20}, {40, 50, 30, 20}, {0, 5, 0, -5}} {
		from, to := r.span(c.x0, c.x1)
		if from != c.from || to != c.to {
			t.Errorf("%g..%g: %d..%d, want %d..%d", c.x0, c.x1, from, to, c.from, c.to)
		}
	}
}
