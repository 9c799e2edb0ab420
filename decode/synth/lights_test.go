package synth

import (
	"math"
	"slices"
	"testing"

	"stopledger/decode/geometry"
)

// A lamp without a halo is a disc: its light times its area, pi r^2, added to what is there.
func TestLampIsADisc(t *testing.T) {
	for _, radius := range []float64{3, 8.5, 20} {
		l := Lamp{X: 60.2, Y: 59.7, Radius: radius, Light: Light{4, 2, 1}}
		ground := painted(120, 120, 0, Fill{Grey(0.5)})
		got := painted(120, 120, 0, Fill{Grey(0.5)}, l)
		for c := range got {
			added := total(got[c]) - total(ground[c])
			if want := float64(l.Light[c]) * math.Pi * radius * radius; math.Abs(added/want-1) > 0.01 {
				t.Errorf("radius %g, channel %d: light %.1f, want %.1f", radius, c, added, want)
			}
		}
		if at := got[0][60*120+60]; math.Abs(float64(at)-4.5) > 1e-5 {
			t.Errorf("radius %g: %.4f in the middle, want 4.5", radius, at)
		}
	}
}

// A halo falls from its share at the edge of the disc, never rises outward, and ends.
func TestHaloFallsOff(t *testing.T) {
	const radius, halo = 4.0, 0.2
	got := painted(200, 21, 0, Lamp{X: 20.5, Y: 10.5, Radius: radius, Light: Grey(10), Halo: halo})[1]
	row := got[10*200 : 11*200]
	last := math.Inf(1)
	for x := 20 + int(radius) + 1; x < 200; x++ {
		v, d := float64(row[x]), float64(x)-20
		if v > last {
			t.Errorf("%.0f pixels out it rises to %.4f", d, v)
		}
		if reach := radius * haloReach; d > reach && v != 0 || d < reach-1 && v == 0 {
			t.Errorf("%.0f pixels out: %.5f; the halo reaches %.0f", d, v, reach)
		}
		last = v
	}
	// At twice the radius 1 / (1 + (d/r)^2) of it is left, less what fades towards its end.
	d := 2 * radius
	want := 10 * halo * (1 - d/(radius*haloReach)) * (1 - d/(radius*haloReach)) / 5
	if got := float64(row[20+int(d)]); math.Abs(got-want) > 1e-4 {
		t.Errorf("twice the radius out: %.4f, want %.4f", got, want)
	}
}

// Glints lie where they are strewn, as many as asked for: their light adds up to that of n bells of
// 2 pi s^2, each by its own strength.
func TestGlintsAreWhereTheyAreStrewn(t *testing.T) {
	area := geometry.Upright(30, 20, 100, 60)
	g := NewGlints(area, 40, Light{2, 1, 0.5}, 0, 7)
	if len(g.points) != 40 || !g.still() {
		t.Fatalf("%d glints, still: %v", len(g.points), g.still())
	}
	strength := 0.0
	for _, p := range g.points {
		if !area.Contains(geometry.Pt(p.x, p.y)) {
			t.Errorf("a glint at %.1f, %.1f", p.x, p.y)
		}
		if p.strength < 1.0/16 || p.strength > 1 {
			t.Errorf("a strength of %.3f", p.strength)
		}
		strength += p.strength
	}
	got := painted(160, 100, 0, g)
	for c := range got {
		want := float64(g.light[c]) * strength * 2 * math.Pi * glintSpread * glintSpread
		// A bell of 0.8 pixels, summed at whole pixels, keeps its area to 2 exp(-2 pi^2 s^2).
		if math.Abs(total(got[c])/want-1) > 1e-3 {
			t.Errorf("channel %d: light %.2f, want %.2f", c, total(got[c]), want)
		}
	}
	if other := NewGlints(area, 40, Grey(1), 0, 8); slices.Equal(g.points, other.points) {
		t.Error("another seed strews them in the same places")
	}
	if same := NewGlints(area, 40, Grey(1), 0, 7); !slices.Equal(g.points, same.points) {
		t.Error("the same seed strews them in other places")
	}
}

// Glints that twinkle come back after one period, and each is dark once in it: the mean of the
// square of (1 + sin)/2 over a period is 3/8.
func TestGlintsTwinkle(t *testing.T) {
	const hz, steps = 2.0, 64
	g := NewGlints(geometry.Upright(10, 10, 60, 40), 25, Grey(1), hz, 3)
	if g.still() {
		t.Error("twinkling glints are still")
	}
	steady := NewGlints(geometry.Upright(10, 10, 60, 40), 25, Grey(1), 0, 3)
	sum := 0.0
	for i := range steps {
		sum += total(painted(80, 60, float64(i)/hz/steps, g)[0]) / steps
	}
	if want := total(painted(80, 60, 0, steady)[0]) * 3 / 8; math.Abs(sum/want-1) > 1e-3 {
		t.Errorf("mean light over a period %.3f, want %.3f", sum, want)
	}
	a, b := painted(80, 60, 0.13, g)[0], painted(80, 60, 0.13+1/hz, g)[0]
	for i := range a {
		if math.Abs(float64(a[i]-b[i])) > 1e-5 {
			t.Fatalf("pixel %d: %g, a period later %g", i, a[i], b[i])
		}
	}
}

// A pool of light multiplies: its centre gets 1 + Gain of what is there, what lies three radii out
// stays as it was, and a dark card under it stays as dark against its surroundings.
func TestPoolMultiplies(t *testing.T) {
	p := Pool{X: 100.5, Y: 50.5, RadiusX: 20, RadiusY: 10, Gain: 3, Colour: Light{1, 0.5, 0}}
	card := NewCard(geometry.Upright(95, 45, 11, 11), 0.02)
	lit, unlit := painted(200, 100, 0, Fill{Grey(0.4)}, card, p), painted(200, 100, 0, Fill{Grey(0.4)}, card)
	factor := func(c, x, y int) float64 { return float64(lit[c][y*200+x] / unlit[c][y*200+x]) }
	for c, want := range []float64{4, 2.5, 1} {
		if got := factor(c, 100, 50); math.Abs(got-want) > 1e-5 {
			t.Errorf("channel %d: %.4f in the middle, want %g", c, got, want)
		}
	}
	for _, at := range [][2]int{{161, 50}, {39, 50}, {100, 81}, {100, 19}, {150, 75}} {
		if got := factor(0, at[0], at[1]); got != 1 {
			t.Errorf("at %v, three radii out, the factor is %.6f", at, got)
		}
	}
	last := 4.0
	for x := 101; x < 162; x++ {
		if got := factor(0, x, 50); got > last+1e-6 {
			t.Errorf("column %d: %.4f, more than nearer the middle", x, got)
		} else {
			last = got
		}
	}
	if a, b := factor(0, 100, 45), factor(0, 100, 44); math.Abs(a/b-1) > 0.15 {
		t.Errorf("the card's edge is lit by %.3f inside and %.3f outside", a, b)
	}
}

// A clear sky is as told at the horizon and the zenith; between, light changes with the root of the
// height, so that a quarter of the way up it is half way.
func TestClearSky(t *testing.T) {
	s := Sky{HorizonY: 100, ZenithY: 0, Horizon: Light{2, 2, 2}, Zenith: Light{1, 0.5, 0}}
	for _, c := range []struct {
		y    float64
		want Light
	}{{150, s.Horizon}, {100, s.Horizon}, {75, Mix(s.Horizon, s.Zenith, 0.5)}, {0, s.Zenith}, {-20, s.Zenith}} {
		rows := newRows(8)
		s.Paint(Row{X: 0.5, Y: c.y, R: rows[0], G: rows[1], B: rows[2]})
		for i := range 8 {
			if got := (Light{rows[0][i], rows[1][i], rows[2][i]}); got != c.want {
				t.Errorf("row %g: %v, want %v", c.y, got, c.want)
			}
		}
	}
}

// Clouds lie between the clear sky and their white, and heavier ones are more of the sky's light.
func TestClouds(t *testing.T) {
	s := Sky{HorizonY: 200, ZenithY: 0, Horizon: Grey(1), Zenith: Grey(0.4), CloudPixels: 80, Seed: 5}
	last := total(painted(300, 200, 0, s)[1])
	for _, heavy := range []float64{0.3, 0.6, 1} {
		s.Clouds = heavy
		got := painted(300, 200, 0, s)[1]
		if now := total(got); now <= last {
			t.Errorf("clouds of %g: light %.0f, %.0f with fewer", heavy, now, last)
		} else {
			last = now
		}
		if low, high := slices.Min(got), slices.Max(got); low < 0.4-1e-5 || high > 1.6+1e-5 {
			t.Errorf("clouds of %g: light from %.3f to %.3f", heavy, low, high)
		}
	}
}

// Ground covers what lies below the horizon and nothing above it.
func TestGroundEndsAtTheHorizon(t *testing.T) {
	g := Ground{HorizonY: 40, CentreX: 50, NearY: 80, Light: Light{0.2, 0.3, 0.4}}
	got := painted(100, 80, 0, Fill{Grey(9)}, g)
	for y := range 80 {
		v := got[0][y*100+30]
		switch {
		case y < 39 && v != 9, y > 41 && v > 0.21:
			t.Errorf("row %d: light %.3f", y, v)
		}
	}
	if !g.still() {
		t.Error("ground that does not move is not still")
	}
}

// Water moves: away from its start it looks different, and the same at the same time.
func TestWaterMoves(t *testing.T) {
	g := Ground{HorizonY: 10, CentreX: 50, NearY: 80, Light: Grey(0.2), Far: Grey(0.8), Speed: 0.5, Shine: 0.3,
		Texture: Texture{CellX: 20, CellY: 10, Octaves: 3, Contrast: 0.5, Seed: 3}}
	a, b, c := painted(100, 80, 0, g)[1], painted(100, 80, 0, g)[1], painted(100, 80, 1, g)[1]
	if !slices.Equal(a, b) || slices.Equal(a, c) || g.still() {
		t.Error("water stands, or changes without time passing")
	}
	// Distance shows the light of the horizon: 4 exp-folds from there to the near row.
	far, near := total(a[12*100:16*100])/400, total(a[70*100:80*100])/1000
	if far < 0.6 || near > 0.35 {
		t.Errorf("light %.2f far away, %.2f near by", far, near)
	}
}

// Hills stand on their base line, below their largest height, the nearer the darker.
func TestRidgesStandOnTheirLine(t *testing.T) {
	r := ridges{baseY: 90, height: 40, near: Grey(0.1), far: Grey(0.6), cell: 60, seed: 4}
	got := painted(300, 100, 0, Fill{Grey(5)}, r)[1]
	for i, v := range got {
		switch y := i / 300; {
		case (y < 90-64-1 || y > 91) && v != 5:
			t.Fatalf("row %d: light %.2f", y, v)
		case y == 88 && v > 0.11:
			t.Fatalf("light %.2f at the foot of the nearest hills", v)
		}
	}
	low, high := 0, 0 // pixels of the nearest and of the farthest hills
	for _, v := range got {
		if math.Abs(float64(v)-0.1) < 1e-4 {
			low++
		} else if math.Abs(float64(v)-0.6) < 1e-4 {
			high++
		}
	}
	if low < 1000 || high < 300 {
		t.Errorf("%d pixels of near hills, %d of far ones", low, high)
	}
}
