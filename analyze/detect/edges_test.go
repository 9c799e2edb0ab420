package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/decode/geometry"
)

// painted is a level whose pixels are means over 4 x 4 places of what paint says, blurred over so many pixels.
func painted(w, h int, blur float64, paint func(p geometry.Point) [3]float64) *pyramid.Level {
	const fine = 4
	l := pyramid.New(w, h, 1)
	for y := range h {
		for x := range w {
			var s [3]float64
			for k := range fine * fine {
				i, j := (float64(k%fine)+0.5)/fine-0.5, (float64(k/fine)+0.5)/fine-0.5
				at := geometry.Pt(float64(x)+0.5+i*blur, float64(y)+0.5+j*blur)
				for c, v := range paint(at) {
					s[c] += v / (fine * fine)
				}
			}
			n := y*w + x
			l.Y[n], l.U[n], l.V[n] = int16(math.Round(s[0])), int16(math.Round(s[1])), int16(math.Round(s[2]))
		}
	}
	return l
}

// cardOn paints one colour inside a quad and another outside.
func cardOn(q geometry.Quad, inside, outside [3]float64) func(geometry.Point) [3]float64 {
	return func(p geometry.Point) [3]float64 {
		if q.Contains(p) {
			return inside
		}
		return outside
	}
}

// tiltedQuad is a quad seen at an angle, about the middle of a level of 160 x 120.
func tiltedQuad(rng *rand.Rand) geometry.Quad {
	q := geometry.Upright(40, 32, 76, 54)
	for i := range q {
		q[i] = q[i].Add(geometry.Pt(14*rng.Float64()-7, 14*rng.Float64()-7))
	}
	return q
}

// TestSidesAgainstTruth: the quad whose sides are found from a rough one is the painted one to a pixel or so, in
// luma or in colour alone, sharp or soft, with noise.
func TestSidesAgainstTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 1))
	grey, dark, blue := [3]float64{1700, 0, 0}, [3]float64{900, 0, 0}, [3]float64{1700, 500, -300}
	for _, c := range []struct {
		name            string
		inside, outside [3]float64
		blur, noise     float64
		tolerance       float64 // pixels of a corner: a profile takes the nearest pixel
	}{
		{"luma", grey, dark, 1, 0, 0.7}, {"colour alone", grey, blue, 1, 0, 1},
		{"soft", grey, dark, 4, 0, 1.4}, {"noise", grey, dark, 1, 40, 1},
	} {
		for range 12 {
			q := tiltedQuad(rng)
			l := painted(160, 120, c.blur, cardOn(q, c.inside, c.outside))
			for i := range l.Y {
				l.Y[i] += int16(c.noise * rng.NormFloat64())
			}
			rough := q
			for i := range rough {
				rough[i] = rough[i].Add(geometry.Pt(4*rng.Float64()-2, 4*rng.Float64()-2))
			}
			got, sides, ok := edgeSearch{l, &defaults.Edge}.sides(rough, 100)
			if !ok || got.Farthest(q) > c.tolerance {
				t.Errorf("%s: %v, %.2f pixels off (%v)", c.name, q, got.Farthest(q), ok)
			}
			for _, s := range sides {
				if s.seen < 0.8 {
					t.Errorf("%s: %v: a side seen to %.2f", c.name, q, s.seen)
				}
			}
		}
	}
}

// TestNoSides: where the signal does not step enough, or the frame ends, there is no side; a quad far off is given up.
func TestNoSides(t *testing.T) {
	q := geometry.Upright(40, 32, 76, 54)
	even := edgeSearch{painted(160, 120, 1, cardOn(q, [3]float64{1700, 0, 0}, [3]float64{1650, 0, 0})), &defaults.Edge}
	if _, sides, _ := even.sides(q, 100); sides[0].seen+sides[1].seen+sides[2].seen+sides[3].seen > 0 {
		t.Errorf("steps of 50 codes seen: %+v", sides)
	}
	rim := edgeSearch{painted(160, 120, 1, cardOn(q, [3]float64{1700, 0, 0}, [3]float64{900, 0, 0})), &defaults.Edge}
	if _, sides, _ := rim.sides(geometry.Upright(0, 0, 160, 120), 100); sides[0].seen > 0 {
		t.Errorf("a side beyond the frame: %+v", sides)
	}
	if c := rim.strongestStep(geometry.Pt(1, 50), geometry.Pt(-1, 0)); c.size != 0 {
		t.Errorf("a step beyond the frame: %+v", c)
	}
	point := rim.side(geometry.Pt(50, 50), geometry.Pt(50.5, 50), 100)
	if point.seen != 0 {
		t.Errorf("a side of half a pixel: %+v", point)
	}
}

// TestStrongestStep: size, place and sharpness of a straight edge at any direction. A step blurred over a box of b
// pixels rises by 2 / b of its height over two pixels.
func TestStrongestStep(t *testing.T) {
	for _, degrees := range []float64{0, 30, 45, 70, 90, 200} {
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		out := geometry.Pt(cos, sin)
		for _, shift := range []float64{-1.5, 0, 0.7, 2} {
			t.Run(fmt.Sprint(degrees, shift), func(t *testing.T) {
				from := geometry.Pt(30.5, 30.5)
				l := painted(61, 61, 1, func(p geometry.Point) [3]float64 {
					if p.Sub(from).Dot(out) > shift {
						return [3]float64{1000, 0, 0}
					}
					return [3]float64{1800, 0, 0}
				})
				c := edgeSearch{l, &defaults.Edge}.strongestStep(from, out)
				if math.Abs(c.off-shift) > 0.6 || math.Abs(c.size-800) > 180 || c.sharp < 0.75 || c.sharp > 1 {
					t.Errorf("%+v, want 800 at %g", c, shift)
				}
			})
		}
	}
}

// TestCarried: the edges of a card end at its corners; those of a strip between two lines go on at four ends.
func TestCarried(t *testing.T) {
	q := geometry.Upright(50, 35, 60, 50)
	bright, dark := [3]float64{1800, 0, 0}, [3]float64{900, 0, 0}
	for _, c := range []struct {
		name  string
		paint func(geometry.Point) [3]float64
		want  int
	}{
		{"card", cardOn(q, bright, dark), 0},
		{"strip", func(p geometry.Point) [3]float64 {
			if p.Y > 35 && p.Y < 85 {
				return bright
			}
			return dark
		}, 4},
		{"lattice", func(p geometry.Point) [3]float64 {
			k := [3]float64{900, 0, 0}
			if p.Y > 35 && p.Y < 85 {
				k[0] += 400
			}
			if p.X > 50 && p.X < 110 {
				k[0] += 400
			}
			return k
		}, 8},
	} {
		e := edgeSearch{painted(160, 120, 1, c.paint), &defaults.Edge}
		_, sides, _ := e.sides(q, 100)
		if got := e.carried(q, sides, 100); got != c.want {
			t.Errorf("%s: carried on at %d ends, want %d", c.name, got, c.want)
		}
	}
}

// TestFilledCorners: a rectangle fills its four corners, a disc in it none, one cut short three; light that slopes over
// a card does not empty them.
func TestFilledCorners(t *testing.T) {
	q := geometry.Upright(40, 30, 80, 60)
	b := &pyramid.Component{Y: 1800}
	level := pyramid.Plane{Middle: q.Centre(), Level: 1800}
	sloping := pyramid.Plane{Middle: q.Centre(), Level: 1800, GX: 4, GY: -3}
	on := func(in func(geometry.Point) bool, light pyramid.Plane) func(geometry.Point) [3]float64 {
		return func(p geometry.Point) [3]float64 {
			if in(p) {
				return [3]float64{light.At(p), 0, 0}
			}
			return [3]float64{600, 0, 0}
		}
	}
	disc := func(p geometry.Point) bool { return math.Hypot((p.X-80)/40, (p.Y-60)/30) < 1 }
	cut := func(p geometry.Point) bool { return q.Contains(p) && p.X+p.Y < 180 }
	for _, c := range []struct {
		name  string
		in    func(geometry.Point) bool
		light pyramid.Plane
		want  int
	}{{"rectangle", q.Contains, level, 4}, {"disc", disc, level, 0}, {"cut", cut, level, 3},
		{"sloping light", q.Contains, sloping, 4}} {
		e := edgeSearch{painted(160, 120, 1, on(c.in, c.light)), &defaults.Edge}
		if got := e.filledCorners(b, q, 50, c.light); got != c.want {
			t.Errorf("%s: %d corners, want %d", c.name, got, c.want)
		}
	}
}

// TestSpan and the short side are plain.
func TestSpan(t *testing.T) {
	var p profile
	for i := range p {
		p[i] = [3]float64{float64(i), -2 * float64(i), 5}
	}
	n := float64(len(p) - 1)
	if p.span(0) != n || p.span(1) != 2*n || p.span(2) != 0 {
		t.Errorf("%g, %g, %g", p.span(0), p.span(1), p.span(2))
	}
	if got := shortSide(geometry.Quad{{X: 0, Y: 0}, {X: 50, Y: 0}, {X: 40, Y: 20}, {X: 10, Y: 20}}); math.Abs(
		got-math.Hypot(10, 20)) > 1e-9 {
		t.Errorf("short side %g", got)
	}
}

// TestRefinedGrid: a chart's grid put off by a tenth of a pitch comes back onto its patches.
func TestRefinedGrid(t *testing.T) {
	const most = 0.04 // pitches: patches are as even a little off their middle as on it
	rng := rand.New(rand.NewPCG(41, 2))
	for range 4 {
		centres := geometry.Quad{{X: 30, Y: 24}, {X: 130, Y: 28}, {X: 126, Y: 92}, {X: 34, Y: 88}}
		truth := gridThrough(centres)
		back := truth.Inverse()
		var codes [24]float64
		for i := range codes {
			codes[i] = 800 + 1600*rng.Float64()
		}
		l := painted(160, 120, 1, func(p geometry.Point) [3]float64 {
			at := back.At(p.X, p.Y)
			u, v := math.Round(at.X), math.Round(at.Y)
			if u < 0 || v < 0 || u > 5 || v > 3 || math.Max(math.Abs(at.X-u), math.Abs(at.Y-v)) > 0.42 {
				return [3]float64{400, 0, 0}
			}
			return [3]float64{codes[int(v)*6+int(u)], 0, 0}
		})
		r := refinement{level: l, p: &defaults.Refine}
		moved := gridThrough(centres.Shift(1.6, -1.2))
		r.edge = r.edgeOf(moved)
		var none [24]bool
		got := r.refined(moved, &none)
		if before, after := r.uneven(moved, &none), r.uneven(got, &none); after > before/2 {
			t.Errorf("unevenness %.0f, before %.0f", after, before)
		}
		pitch := truth.At(2, 1).Distance(truth.At(3, 1))
		if d := got.Image(0, 0, 5, 3).Farthest(centres); d > 0.1*pitch {
			t.Errorf("%.2f pitches off", d/pitch)
		}
		if d := meanMiss(got, truth) / pitch; d > most+0.06 {
			t.Errorf("patches lie %.3f pitches off in the median", d)
		}
	}
}

// meanMiss is the median distance of the 24 centres by two grids.
func meanMiss(a, b geometry.Homography) float64 {
	var d []float64
	for i := range 24 {
		u, v := float64(i%6), float64(i/6)
		d = append(d, a.At(u, v).Distance(b.At(u, v)))
	}
	return robust.Median(d)
}
