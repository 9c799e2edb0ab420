package synth

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// insideMargin keeps a region's rectangle off the blurred edge, in pixels.
const insideMargin = 2

// findRegions follows the scene's marks through the shot.
func (r *Renderer) findRegions(t *Truth) {
	for _, m := range r.shot.Scene.Marks() {
		region := Region{Mark: m}
		moves := m.Path != nil || r.shot.Pan != (geometry.Point{})
		seen := false
		for f := range max(t.Frames, 1) {
			if f == 0 || moves {
				q := r.quadAt(m, f)
				in, ok := r.inside(q)
				region.Quads = append(region.Quads, q)
				region.Inside = append(region.Inside, in)
				seen = seen || ok
			}
			if f > 0 && !moves && r.unchanging() {
				region.Linear = append(region.Linear, region.Linear[0])
				continue
			}
			region.Linear = append(region.Linear, r.meanLight(region.Corners(f), f))
		}
		if seen {
			t.Regions = append(t.Regions, region)
		}
	}
}

// unchanging says whether all frames but for their noise are alike.
func (r *Renderer) unchanging() bool {
	for _, p := range r.shot.Scene.Parts {
		if !isStill(p) {
			return false
		}
	}
	return r.shot.steady() && r.shot.Pan == (geometry.Point{})
}

func (r *Renderer) quadAt(m Mark, frame int) geometry.Quad {
	q := m.Quad
	if m.Path != nil {
		q = q.Shift(m.Path(float64(r.shot.Time(frame))))
	}
	f := float64(frame)
	return q.Shift(-f*r.shot.Pan.X, -f*r.shot.Pan.Y)
}

// inside returns the rectangle within both the quad and the frame.
func (r *Renderer) inside(q geometry.Quad) (geometry.Rect, bool) {
	in, ok := q.Inner(insideMargin)
	if !ok {
		return geometry.Rect{}, false
	}
	x0, y0 := max(in.X, 0), max(in.Y, 0)
	x1, y1 := min(in.X+in.W, r.cam.Width), min(in.Y+in.H, r.cam.Height)
	if x1 <= x0 || y1 <= y0 {
		return geometry.Rect{}, false
	}
	return geometry.Rect{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}, true
}

// meanLight returns the mean luma-equivalent light over a grid in the middle of a quad, NaN
// where none of it is in the frame.
func (r *Renderer) meanLight(q geometry.Quad, frame int) curve.Light {
	const n = 12
	h := geometry.SquareTo(q)
	sum, count := 0.0, 0
	for i := range n * n {
		p := h.At(0.1+0.8*(float64(i%n)+0.5)/n, 0.1+0.8*(float64(i/n)+0.5)/n)
		x, y := int(math.Floor(p.X)), int(math.Floor(p.Y))
		if x < 0 || y < 0 || x >= r.cam.Width || y >= r.cam.Height {
			continue
		}
		sum += r.lumaLight(r.lightAt(frame, x, y))
		count++
	}
	if count == 0 {
		return curve.Unknown[curve.Light]()
	}
	return curve.Light(sum / float64(count))
}

// lightAt returns the exposed light of one pixel, without noise.
func (r *Renderer) lightAt(frame, x, y int) Light {
	rows := newRows(1)
	s := r.at(frame, x, y)
	s.R, s.G, s.B = rows[0], rows[1], rows[2]
	r.shot.Scene.Paint(s)
	r.exposeRow(rows, frame, x, y)
	return Light{rows[0][0], rows[1][0], rows[2][0]}
}

// lumaLight returns the light that a reader of luma alone gets.
func (r *Renderer) lumaLight(l Light) float64 {
	if l[0] == l[1] && l[1] == l[2] {
		return float64(l[0])
	}
	code := 0.0
	for c, k := range weights(r.cam.Matrix) {
		code += k * r.tone.exact(float64(l[c]))
	}
	return float64(r.cam.Reading().Light(curve.FileCode(code)))
}

// place fills in where an 18 % grey landed: on the card, else the chart's neutral 5, else a
// tile of 18 %, else by the exposure alone.
func (r *Renderer) place(t *Truth) {
	mark := -1
	for _, want := range []func(Region) bool{
		func(g Region) bool { return g.Kind == MarkCard },
		func(g Region) bool { return g.Kind == MarkPatch && g.Name == "neutral 5" },
		func(g Region) bool { return g.Kind == MarkTile && g.Reflectance == curve.MidGrey },
	} {
		for i, g := range t.Regions {
			if mark < 0 && want(g) {
				mark = i
			}
		}
	}
	t.PlacementFrom = "exposure"
	if mark >= 0 {
		t.PlacementFrom = t.Regions[mark].Name
	}
	seen := 0
	for f := range t.Frames {
		s := curve.Stops(math.Log2(r.shot.gain(f, r.cam.Height/2, r.cam.Height)))
		if mark >= 0 {
			s = curve.Stops(math.Log2(float64(t.Regions[mark].Linear[f] / t.Regions[mark].Reflectance)))
		}
		t.Series = append(t.Series, s)
		if !math.IsNaN(float64(s)) {
			t.Placement += s
			seen++
		}
	}
	t.Placement /= curve.Stops(max(seen, 1))
}
