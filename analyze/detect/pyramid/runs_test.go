package pyramid

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/decode/geometry"
)

// drawn is a mask whose pixels are marked as told, on a level of random signal.
func drawn(rng *rand.Rand, w, h int, marked func(x, y int) bool) *Mask {
	m := &Mask{level: noisyLevel(rng, w, h, 300), marks: make([]uint8, w*h)}
	for y := 1; y < h-1; y++ {
		for x := 1; x < w-1; x++ {
			if marked(x, y) {
				m.marks[y*w+x] = Loose | Close
			}
		}
	}
	return m
}

// flooded lists the pixels of each connected area of a mask, four neighbours to a pixel.
func flooded(m *Mask) (areas [][]int) {
	w, left := m.level.W, make([]bool, len(m.marks))
	for i, v := range m.marks {
		left[i] = v != 0
	}
	for start := range left {
		var pixels []int
		for stack := []int{start}; len(stack) > 0; {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if left[i] {
				left[i] = false
				pixels = append(pixels, i)
				stack = append(stack, i-1, i+1, i-w, i+w)
			}
		}
		if pixels != nil {
			areas = append(areas, pixels)
		}
	}
	return areas
}

// slowComponent measures an area pixel by pixel.
func slowComponent(l *Level, pixels []int) (c Component) {
	var x, y, luma, blue, red []float64
	for _, i := range pixels {
		x, y = append(x, float64(i%l.W)+0.5), append(y, float64(i/l.W)+0.5)
		luma, blue, red = append(luma, float64(l.Y[i])), append(blue, float64(l.U[i])), append(red, float64(l.V[i]))
	}
	mx, vx := stat.PopMeanVariance(x, nil)
	my, vy := stat.PopMeanVariance(y, nil)
	c = Component{Area: len(pixels), Centre: geometry.Pt(mx, my), XX: vx, YY: vy,
		Y: stat.Mean(luma, nil), U: stat.Mean(blue, nil), V: stat.Mean(red, nil)}
	for i := range x {
		c.XY += (x[i] - mx) * (y[i] - my) / float64(len(x))
	}
	return c
}

// TestMomentsAgainstPixels: the moments and means that runs add up are those of the single pixels (gonum's
// stat), for areas of any shape.
func TestMomentsAgainstPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 1))
	for _, size := range [][2]int{{31, 22}, {8, 64}, {64, 5}} {
		m := drawn(rng, size[0], size[1], func(int, int) bool { return rng.Float64() < 0.62 })
		found := Connect(m, Close, 1, 0, &limits).List
		want := flooded(m) // both list areas by their first pixel
		if len(found) != len(want) {
			t.Fatalf("%v: %d areas, want %d", size, len(found), len(want))
		}
		for i, pixels := range want {
			slow, got := slowComponent(m.level, pixels), found[i]
			for name, pair := range map[string][2]float64{
				"area": {float64(got.Area), float64(slow.Area)}, "x": {got.Centre.X, slow.Centre.X},
				"y": {got.Centre.Y, slow.Centre.Y}, "XX": {got.XX, slow.XX}, "YY": {got.YY, slow.YY},
				"XY": {got.XY, slow.XY}, "luma": {got.Y, slow.Y}, "blue": {got.U, slow.U}, "red": {got.V, slow.V},
			} {
				if math.Abs(pair[0]-pair[1]) > 1e-6 {
					t.Errorf("%v, area %d of %d pixels: %s %g, want %g", size, i, len(pixels), name, pair[0], pair[1])
				}
			}
		}
	}
}

// TestLeastArea: the areas left are those of at least so many pixels, in the same order.
func TestLeastArea(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 2))
	m := drawn(rng, 60, 40, func(int, int) bool { return rng.Float64() < 0.5 })
	all := Connect(m, Close, 1, 0, &limits).List
	for _, least := range []int{2, 5, 20, 10000} {
		got := Connect(m, Close, least, 0, &limits).List
		n := 0
		for _, c := range all {
			if c.Area < least {
				continue
			}
			if n >= len(got) || got[n].Area != c.Area || got[n].Centre != c.Centre {
				t.Fatalf("of %d pixels or more: area %d is not %+v", least, n, c)
			}
			n++
		}
		if n != len(got) {
			t.Errorf("of %d pixels or more: %d areas, want %d", least, len(got), n)
		}
	}
}

// TestManyPixels: of a large area with an even signal the rows that are read tell the very mean.
func TestManyPixels(t *testing.T) {
	few := limits
	few.ManyPixels = 50
	m := drawn(rand.New(rand.NewPCG(21, 3)), 50, 40, func(int, int) bool { return true })
	for i := range m.level.Y {
		m.level.Y[i], m.level.U[i], m.level.V[i] = 1500, -40, 70
	}
	got := Connect(m, Close, 1, 0, &few).List
	if len(got) != 1 || got[0].Y != 1500 || got[0].U != -40 || got[0].V != 70 || got[0].Area != 48*38 {
		t.Errorf("%+v", got)
	}
}

// TestNarrowedRuns: narrowing is an erosion by a square of three pixels; runs list exactly what is left.
func TestNarrowedRuns(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 4))
	for _, size := range [][2]int{{3, 3}, {5, 5}, {40, 30}, {41, 7}} {
		w, h := size[0], size[1]
		m := drawn(rng, w, h, func(int, int) bool { return rng.Float64() < 0.93 })
		for narrowed := range 2 {
			got := make([]bool, w*h)
			for _, r := range m.runs(Loose, narrowed) {
				for x := r.x0; x < r.x1; x++ {
					got[int(r.y)*w+int(x)] = true
				}
			}
			for y := range h {
				for x := range w {
					if want := solid(m, x, y, narrowed); got[y*w+x] != want {
						t.Fatalf("%v narrowed by %d: %d, %d is %v", size, narrowed, x, y, !want)
					}
				}
			}
		}
	}
}

// solid reports whether all pixels up to reach from one are marked.
func solid(m *Mask, x, y, reach int) bool {
	for j := y - reach; j <= y+reach; j++ {
		for i := x - reach; i <= x+reach; i++ {
			if i < 0 || j < 0 || i >= m.level.W || j >= m.level.H || m.marks[j*m.level.W+i] == 0 {
				return false
			}
		}
	}
	return true
}

// TestMaskDrawings: what is flat closely drawn is so loosely; each is where no channel changes by more than its
// limit, and the border is never marked.
func TestMaskDrawings(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 5))
	for _, size := range [][2]int{{1, 1}, {2, 9}, {3, 3}, {30, 17}} {
		l := noisyLevel(rng, size[0], size[1], 9)
		rough := Roughness{}
		tight := rough.Limits(Drawing{3, 12, 12}, &limits)
		wide := rough.Limits(Drawing{3, 24, 24}, &limits)
		m := MaskOf(l, tight, wide)
		for y := range l.H {
			for x := range l.W {
				want := uint8(0)
				if x > 0 && y > 0 && x < l.W-1 && y < l.H-1 {
					switch change := changeAt(l, y*l.W+x); {
					case change <= 12:
						want = Loose | Close
					case change <= 24:
						want = Loose
					}
				}
				if got := m.marks[y*l.W+x]; got != want {
					t.Fatalf("%v: %d, %d marked %b, want %b", size, x, y, got, want)
				}
			}
		}
	}
}

// TestShapes: squareness is 1 for a rectangle however it is turned, pi/3 for an ellipse and the root of 3/4 for a
// triangle (second moments of plane figures, as in any table of them); elongation is the ratio of the axes.
func TestShapes(t *testing.T) {
	const tolerance = 0.02                  // drawn in whole pixels
	inTriangle := func(x, y float64) bool { // of height 120, its base 240 / sqrt 3, about its centroid
		return y < 40 && math.Abs(x) < (y+80)/math.Sqrt(3)
	}
	for _, c := range []struct {
		name                   string
		in                     func(x, y float64) bool
		squareness, elongation float64
	}{
		{"square", func(x, y float64) bool { return math.Abs(x) < 40 && math.Abs(y) < 40 }, 1, 1},
		{"rectangle", func(x, y float64) bool { return math.Abs(x) < 60 && math.Abs(y) < 24 }, 1, 2.5},
		{"ellipse", func(x, y float64) bool { return math.Hypot(x/60, y/30) < 1 }, math.Pi / 3, 2},
		{"triangle", inTriangle, math.Sqrt(0.75), 1},
	} {
		for _, degrees := range []float64{0, 17, 45, 80} {
			t.Run(fmt.Sprint(c.name, degrees), func(t *testing.T) {
				sin, cos := math.Sincos(degrees * math.Pi / 180)
				m := drawn(rand.New(rand.NewPCG(21, 6)), 200, 200, func(x, y int) bool {
					dx, dy := float64(x)+0.5-100, float64(y)+0.5-100
					return c.in(cos*dx+sin*dy, cos*dy-sin*dx)
				})
				b := Connect(m, Close, 100, 0, &limits).List[0]
				if math.Abs(b.Squareness()-c.squareness) > tolerance || math.Abs(b.Elongation()/c.elongation-1) > tolerance {
					t.Errorf("squareness %.3f, elongation %.3f; want %.3f, %.3f", b.Squareness(), b.Elongation(),
						c.squareness, c.elongation)
				}
			})
		}
	}
}

// TestCongruent: an area is congruent with itself, either way round, and not with one of another size or turn.
func TestCongruent(t *testing.T) {
	area := func(w, h float64) *Component { return &Component{Area: int(w * h), XX: w * w / 12, YY: h * h / 12} }
	for _, c := range []struct {
		a, b *Component
		want bool
	}{
		{area(20, 10), area(20, 10), true}, {area(20, 10), area(21, 10), true}, {area(20, 10), area(10, 20), false},
		{area(20, 10), area(40, 10), false}, {area(20, 10), area(14, 14), false},
	} {
		if got, back := c.a.Congruent(c.b, 1.3, 0.5), c.b.Congruent(c.a, 1.3, 0.5); got != c.want || back != c.want {
			t.Errorf("%+v with %+v: %v and %v, want %v", c.a, c.b, got, back, c.want)
		}
	}
}

// wrapped is the convex hull of points by gift wrapping (R. A. Jarvis, "On the identification of the convex hull of
// a finite set of points in the plane", Information Processing Letters 2, 1973, from memory): another method than
// the monotone chain.
func wrapped(points []geometry.Point) (hull []geometry.Point) {
	at := points[0]
	for _, p := range points {
		if p.X < at.X || p.X == at.X && p.Y < at.Y {
			at = p
		}
	}
	for start := at; len(hull) == 0 || at != start; {
		hull = append(hull, at)
		next := points[0]
		for _, p := range points {
			turn := next.Sub(at).Cross(p.Sub(at))
			if next == at || turn < 0 || turn == 0 && p.Distance(at) > next.Distance(at) {
				next = p
			}
		}
		at = next
	}
	return hull
}

// TestHullAgainstWrapping: the hull of an area is that of all corners of its pixels.
func TestHullAgainstWrapping(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 7))
	for range 10 {
		m := drawn(rng, 40, 30, func(int, int) bool { return rng.Float64() < 0.6 })
		found := Connect(m, Close, 1, 0, &limits)
		for i, pixels := range flooded(m) {
			var corners []geometry.Point
			for _, k := range pixels {
				x, y := float64(k%40), float64(k/40)
				corners = append(corners, geometry.Pt(x, y), geometry.Pt(x+1, y), geometry.Pt(x, y+1), geometry.Pt(x+1, y+1))
			}
			hull, want := found.Hull(&found.List[i]), wrapped(corners)
			if len(hull) != len(want) || math.Abs(geometry.PolygonArea(hull)-math.Abs(geometry.PolygonArea(want))) > 1e-9 {
				t.Fatalf("%d pixels: hull %v, want %v", len(pixels), hull, want)
			}
		}
	}
}
