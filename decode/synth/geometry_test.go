package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

func TestHomographyMeetsCorners(t *testing.T) {
	q := geometry.Quad{geometry.Pt(10, 20), geometry.Pt(110, 15), geometry.Pt(125, 90), geometry.Pt(5, 80)}
	h := geometry.SquareTo(q)
	for i, uv := range [4]geometry.Point{geometry.Pt(0, 0), geometry.Pt(1, 0), geometry.Pt(1, 1), geometry.Pt(0, 1)} {
		if p := h.At(uv.X, uv.Y); math.Hypot(p.X-q[i].X, p.Y-q[i].Y) > 1e-9 {
			t.Errorf("corner %d at %v, want %v", i, p, q[i])
		}
	}
	// Diagonals stay straight in perspective: their crossing is the image of the middle.
	a, b := q[0], q[2]
	c, d := q[1], q[3]
	s := ((c.X-a.X)*(d.Y-c.Y) - (c.Y-a.Y)*(d.X-c.X)) / ((b.X-a.X)*(d.Y-c.Y) - (b.Y-a.Y)*(d.X-c.X))
	want := geometry.Pt(a.X+s*(b.X-a.X), a.Y+s*(b.Y-a.Y))
	if p := h.At(0.5, 0.5); math.Hypot(p.X-want.X, p.Y-want.Y) > 1e-9 {
		t.Errorf("middle at %v, want %v", p, want)
	}
}

// An antialiased quad carries as much light as its area, wherever it lies between pixels.
func TestPanelKeepsItsArea(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 20 {
		q := geometry.Quad{geometry.Pt(20, 20), geometry.Pt(70, 18), geometry.Pt(75, 60),
			geometry.Pt(22, 66)}.Shift(rng.Float64(), rng.Float64())
		for i := range q {
			q[i].X += 6 * rng.Float64()
			q[i].Y += 6 * rng.Float64()
		}
		area := 0.0
		for i := range q {
			n := q[(i+1)%4]
			area += (q[i].X*n.Y - n.X*q[i].Y) / 2
		}
		sum := 0.0
		panel := NewPanel(q, Grey(1), 1)
		for y := range 100 {
			rows := newRows(100)
			panel.Paint(Row{X: 0.5, Y: float64(y) + 0.5, R: rows[0], G: rows[1], B: rows[2]})
			for _, v := range rows[1] {
				sum += float64(v)
			}
		}
		// Coverage by distance is exact for edges along the pixels and off by up to 0.02 pixel
		// of a slanting one, over four edges of 50 pixels.
		if tolerance := 0.003 * area; math.Abs(sum-area) > tolerance {
			t.Errorf("light %.2f, area %.2f of %v", sum, area, q)
		}
	}
}

// Everything that Inner returns lies inside the quad, and it is not much smaller than it could be.
func TestInner(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for range 200 {
		q := geometry.Upright(100, 100, 50+100*rng.Float64(), 50+100*rng.Float64())
		for i := range q {
			q[i].X += 10*rng.Float64() - 5
			q[i].Y += 10*rng.Float64() - 5
		}
		in, ok := q.Inner(2)
		if !ok {
			t.Fatalf("nothing inside %v", q)
		}
		e := q.Edges()
		for _, p := range [4]geometry.Point{geometry.Pt(0, 0), geometry.Pt(1, 0), geometry.Pt(1, 1), geometry.Pt(0, 1)} {
			x, y := float64(in.X)+p.X*float64(in.W), float64(in.Y)+p.Y*float64(in.H)
			for i := range e {
				if d := e[i].Distance(x, y); d < 2-1e-6 {
					t.Fatalf("corner %g,%g of %v is %.2f pixels inside %v", x, y, in, d, q)
				}
			}
		}
		from, to := q.Extent()
		if share := float64(in.W*in.H) / ((to.X - from.X) * (to.Y - from.Y)); share < 0.25 {
			t.Errorf("%v fills %.2f of the bounds of %v", in, share, q)
		}
	}
	if _, ok := geometry.Upright(5, 5, 3, 3).Inner(2); ok {
		t.Error("a quad of 3 pixels has no inside at a margin of 2")
	}
}

// The chart's neutrals are neutral, with the published Y, at the published geometry: patch over
// pitch 0.909.
func TestChart(t *testing.T) {
	cam := bench(t, 670, 450) // 40 pixels a unit of the chart
	cam.Noise = Noise{}
	cam.Sampling = RGB
	frames, truth, err := Expose(cam, Shot{Scene: Scene{Parts: []Part{NewChart(geometry.Upright(0, 0, 670, 450))}},
		Frames: 1})
	if err != nil {
		t.Fatal(err)
	}
	if len(truth.Regions) != 25 {
		t.Fatalf("%d regions, want body and 24 patches", len(truth.Regions))
	}
	for name, y := range map[string]curve.Light{
		"white 9.5": 0.9131, "neutral 8": 0.5894, "neutral 6.5": 0.3632,
		"neutral 5": 0.1915, "neutral 3.5": 0.0883, "black 2": 0.0311,
	} {
		g, ok := truth.Region(name)
		if !ok || !g.Neutral || g.Reflectance != y {
			t.Fatalf("%s: %+v", name, g.Mark)
		}
		in := g.Rect(0)
		want := uint16(math.Round(float64(cam.Reading().CodeOf(y))))
		for c := range 3 {
			if got := frames[0].Row(c, in.Y+in.H/2)[in.X+in.W/2]; got != want {
				t.Errorf("%s: channel %d is %d, want %d", name, c, got, want)
			}
		}
	}
	first, second := truth.Regions[1].Corners(0), truth.Regions[2].Corners(0)
	patch, pitch := first[1].X-first[0].X, second[0].X-first[0].X
	if math.Abs(patch/pitch-0.909) > 0.0005 {
		t.Errorf("patch over pitch %.4f", patch/pitch)
	}
	if truth.PlacementFrom != "neutral 5" || math.Abs(float64(truth.Placement)) > 1e-6 {
		t.Errorf("placement %g from %s", truth.Placement, truth.PlacementFrom)
	}
}
