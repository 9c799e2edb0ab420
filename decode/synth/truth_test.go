package synth

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A light exactly at the ceiling clips half of the time, each channel by itself: one half each,
// 7/8 in any, 1/8 in all.
func TestClippedAtTheCeiling(t *testing.T) {
	cam := bench(t, 200, 100)
	shot := Shot{Scene: Scene{Parts: []Part{Fill{Grey(cam.Ceiling)}}}, Frames: 4, Seed: 2}
	_, truth, err := Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	n := float64(4 * 200 * 100)
	for name, c := range map[string]struct{ got, want curve.Share }{
		"R": {truth.Clipped.R, 0.5}, "G": {truth.Clipped.G, 0.5}, "B": {truth.Clipped.B, 0.5},
		"any": {truth.Clipped.Any, 0.875}, "all": {truth.Clipped.All, 0.125},
	} {
		se := math.Sqrt(float64(c.want*(1-c.want)) / n)
		if d := math.Abs(float64(c.got-c.want)) / se; d > errorsAllowed {
			t.Errorf("%s: share %.4f, want %.4f: %.1f standard errors", name, c.got, c.want, d)
		}
	}
}

// Without noise, the clipped pixels are those whose recorded code is the ceiling's: counted
// again in the planes.
func TestClippedCounts(t *testing.T) {
	cam := bench(t, 320, 180)
	cam.Noise, cam.Sampling, cam.Bits = Noise{}, RGB, 16
	cam.Gains = [3]float64{1.5, 1, 0}
	frames, truth, err := Expose(cam, Shot{Scene: QuayAtNight(320, 180), Stops: 2, Frames: 2})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range frames {
		var n ClipCount
		for k := range p.Samples[0] {
			over := 0
			for c := range 3 {
				if curve.FileCode(p.Samples[c][k]) > truth.Reading.FileCode(truth.Ceilings[c])-1 {
					over++
					*[]*int{&n.R, &n.G, &n.B}[c]++
				}
			}
			n.Any += min(over, 1)
			n.All += over / 3
		}
		n.Pixels = len(p.Samples[0])
		if n != p.Clipped || n.R == 0 || n.Any == n.All {
			t.Errorf("frame %d: counted %+v, told %+v", i, n, p.Clipped)
		}
		if truth.ClippedEach[i] != n.Shares() {
			t.Errorf("frame %d: shares %+v", i, truth.ClippedEach[i])
		}
	}
	got := truth.Reading.Stops(truth.Reading.FileCode(truth.Ceilings[0]))
	if want := (cam.Ceiling * 1.5).Stops(); math.Abs(float64(got-want)) > 1e-6 {
		t.Errorf("red clips at code %.1f, want %+.2f stops", truth.Ceilings[0], want)
	}
}

// The curve's top is a ceiling as well, when the sensor's lies above it.
func TestCurveTopIsACeiling(t *testing.T) {
	cam := bench(t, 64, 36)
	cam.Ceiling = 1e4
	p := Render(cam, Shot{Scene: Scene{Parts: []Part{Fill{Grey(100)}}}}, 0)
	if s := p.Clipped.Shares(); s.All != 1 {
		t.Errorf("clipped %+v, want all", s)
	}
	if got := p.Samples[0][0]; got != 1019 {
		t.Errorf("code %d, want 1019, the highest of narrow range", got)
	}
}

// Where grey landed, measured naively: the mean of decoded luma on the card of each frame.
func TestPlacementIsAsTold(t *testing.T) {
	const w, h = 320, 180
	moving := Scene{Parts: []Part{
		Fill{Grey(0.05)},
		Moving{Part: NewCard(geometry.Upright(60, 50, 60, 60), 0.18), Path: Handheld(6)},
	}}
	for _, c := range []struct {
		name string
		shot Shot
	}{
		{"nominal", Shot{Scene: Wheelhouse(w, h)}},
		{"over", Shot{Scene: Wheelhouse(w, h), Stops: 1.65}},
		{"gradient", Shot{Scene: ChartTable(w, h), Stops: -1, Gradient: Gradient{Across: -1.5, Down: 0.7}}},
		{"veil", Shot{Scene: MessRoomWindow(w, h), Veil: 0.02}},
		{"cast", Shot{Scene: HarbourSky(w, h), Cast: Light{1.3, 1, 0.6}}},
		{"drift", Shot{Scene: Wheelhouse(w, h), Drift: -2}},
		{"step", Shot{Scene: Wheelhouse(w, h), Steps: []Step{{AtS: 0.1, Stops: 0.75}}}},
		{"flicker", Shot{Scene: Wheelhouse(w, h), RateNum: 24,
			Flicker: Flicker{Depth: 0.3, MainsHz: 50, ShutterS: 1.0 / 200}}},
		{"bands", Shot{Scene: Wheelhouse(w, h), Flicker: Flicker{Depth: 0.3, MainsHz: 60, ShutterS: 1.0 / 500,
			ReadoutS: 0.03}}},
		{"pan", Shot{Scene: Deckhand(w, h), Pan: geometry.Pt(4.3, 0.7)}},
		{"moving", Shot{Scene: moving, Stops: 0.5}},
	} {
		t.Run(c.name, func(t *testing.T) {
			cam := bench(t, w, h)
			cam.Noise, cam.Bits = Noise{}, 12
			c.shot.Frames = 6
			frames, truth, err := Expose(cam, c.shot)
			if err != nil {
				t.Fatal(err)
			}
			card, ok := truth.Region("card")
			if !ok || truth.PlacementFrom != "card" || len(truth.Series) != 6 {
				t.Fatalf("no card: %+v", truth)
			}
			mean := 0.0
			for f, p := range frames {
				got := math.Log2(meanLight(truth.Reading, p, card.Rect(f)) / 0.18)
				// A 12-bit code is 0.003 stop; the grid and the rectangle see a gradient or
				// bands through different windows.
				if d := math.Abs(got - float64(truth.Series[f])); d > 0.02 {
					t.Errorf("frame %d: card at %+.3f stops, told %+.3f", f, got, truth.Series[f])
				}
				mean += float64(truth.Series[f]) / 6
			}
			if math.Abs(mean-float64(truth.Placement)) > 1e-9 {
				t.Errorf("placement %g, mean of the series %g", truth.Placement, mean)
			}
		})
	}
}

func meanLight(r curve.Reading, p Planes, in geometry.Rect) float64 {
	sum := 0.0
	for y := in.Y; y < in.Y+in.H; y++ {
		for _, v := range p.Row(0, y)[in.X : in.X+in.W] {
			sum += float64(r.Light(curve.FileCode(v)))
		}
	}
	return sum / float64(in.W*in.H)
}

func TestCardLeavesTheFrame(t *testing.T) {
	cam := bench(t, 160, 90)
	_, truth, err := Expose(cam, Shot{Scene: Deckhand(160, 90), Pan: geometry.Pt(60, 0), Frames: 5})
	if err != nil {
		t.Fatal(err)
	}
	card, _ := truth.Region("card")
	if card.Rect(0).W == 0 || card.Rect(4).W != 0 || curve.Finite(truth.Series[4]) || !curve.Finite(truth.Placement) {
		t.Errorf("card %+v, series %v", card.Inside, truth.Series)
	}
}

// Without card or chart there is only the exposure to go by.
func TestPlacementWithoutAMark(t *testing.T) {
	r, err := NewRenderer(bench(t, 160, 90), Shot{Scene: Bulkhead(160, 90), Stops: 1.25, Frames: 1})
	if err != nil {
		t.Fatal(err)
	}
	if truth := r.Truth(); truth.PlacementFrom != "exposure" || truth.Placement != 1.25 {
		t.Errorf("%g from %s", truth.Placement, truth.PlacementFrom)
	}
}

// The swing that an exposure keeps, against a sum over the exposure's time; and an exposure of
// whole swings keeps none of it.
func TestFlicker(t *testing.T) {
	for _, mains := range []float64{50, 60} {
		for _, shutter := range []float64{1.0 / 50, 1.0 / 60, 1.0 / 48, 1.0 / 200, 1.0 / 1000} {
			f := Flicker{Depth: 0.4, MainsHz: mains, ShutterS: curve.Seconds(shutter), Phase: 0.3}
			for _, at := range []float64{0, 0.0123, 1.9} {
				sum := 0.0
				const n = 2000
				for i := range n {
					sum += 1 + 0.4*math.Cos(2*math.Pi*2*mains*(at+shutter*(float64(i)+0.5)/n)+0.3)
				}
				if got := f.gain(curve.Seconds(at)); math.Abs(got-sum/n) > 1e-5 {
					t.Errorf("%g Hz, 1/%.0f s: gain %.6f, want %.6f", mains, 1/shutter, got, sum/n)
				}
			}
		}
		if g := (Flicker{Depth: 0.4, MainsHz: mains,
			ShutterS: curve.Seconds(1 / mains)}).gain(0.0071); math.Abs(g-1) > 1e-12 {
			t.Errorf("an exposure of two swings at %g Hz still flickers: %g", mains, g)
		}
	}
	// 100 Hz at 24 frames a second comes back after 6 frames (alias 4 Hz), not before.
	s := Shot{RateNum: 24, Flicker: Flicker{Depth: 0.3, MainsHz: 50, ShutterS: 0.001}}
	for f := range 12 {
		if a, b := s.gain(f, 0, 9), s.gain(f+6, 0, 9); math.Abs(a-b) > 1e-9 {
			t.Errorf("frames %d and %d: %g and %g", f, f+6, a, b)
		}
	}
	if math.Abs(s.gain(0, 0, 9)-s.gain(2, 0, 9)) < 0.1 {
		t.Error("no flicker between frames 0 and 2")
	}
}

// The fixed pattern's spread, from the mean of many frames: what remains of the temporal noise
// is taken off.
func TestFixedPattern(t *testing.T) {
	const w, h, frames = 240, 160, 8
	for _, c := range []struct {
		name    string
		pattern Pattern
		light   curve.Light
		want    float64 // linear
	}{
		{"gain", Pattern{Seed: 3, PRNU: 0.02}, 0.5, 0.01},
		{"offset", Pattern{Seed: 3, DSNU: 0.003}, 0.05, 0.003},
		{"rows", Pattern{Seed: 3, Rows: 0.004}, 0.18, 0.004},
		{"columns", Pattern{Seed: 3, Columns: 0.004}, 0.18, 0.004},
	} {
		cam := bench(t, w, h)
		cam.Pattern, cam.Sampling, cam.Bits = c.pattern, RGB, 16
		all, truth, err := Expose(cam, Shot{Scene: Scene{Parts: []Part{Fill{Grey(c.light)}}}, Frames: frames, Seed: 8})
		if err != nil {
			t.Fatal(err)
		}
		var sum, sumSq float64
		for i := range all[0].Samples[1] {
			v := 0.0
			for _, p := range all {
				v += float64(truth.Reading.Light(curve.FileCode(p.Samples[1][i]))) / frames
			}
			sum, sumSq = sum+v, sumSq+v*v
		}
		mean := sum / (w * h)
		sd := math.Sqrt(sumSq/(w*h) - mean*mean - sq(float64(cam.Noise.Sigma(c.light)))/frames)
		// Rows and columns are few: 160 of them give a standard deviation to 6 % (one error).
		tolerance := 0.03
		if c.pattern.Rows+c.pattern.Columns > 0 {
			tolerance = 0.2
		}
		if math.Abs(sd/c.want-1) > tolerance {
			t.Errorf("%s: spread %.5f, want %.5f", c.name, sd, c.want)
		}
	}
}

// What is kept of the still parts gives the same frames as painting everything each time.
func TestKeptPartsAreTheSame(t *testing.T) {
	cam := bench(t, 200, 112)
	for _, scene := range []Scene{HarbourSky(200, 112), QuayAtNight(200, 112), Deckhand(200, 112)} {
		r, err := NewRenderer(cam, Shot{Scene: scene, Seed: 5})
		if err != nil {
			t.Fatal(err)
		}
		if r.kept == 0 || r.kept == len(scene.Parts) {
			t.Fatalf("%s: %d of %d parts kept: nothing to compare", scene.Name, r.kept, len(scene.Parts))
		}
		fast := r.Frame(7)
		r.kept = 0
		slow := r.Frame(7)
		if fmt.Sprint(fast.Samples) != fmt.Sprint(slow.Samples) {
			t.Errorf("%s: kept parts differ", scene.Name)
		}
	}
}

// The table of a curve against the curve itself, at every published curve.
func TestToneTable(t *testing.T) {
	for _, c := range curve.All() {
		r := curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
		table := NewToneTable(codesOf(r))
		worst, at := 0.0, 0.0
		for s := curve.Stops(-14); s < 8; s += 0.0137 {
			for _, v := range []float64{float64(s.Light()), -float64(s.Light())} {
				want := table.exact(float64(float32(v)))
				if math.IsInf(want, 0) || math.Abs(want) > 4096 {
					continue // outside what the curve is made for
				}
				row := []float32{float32(v)}
				table.Encode(row)
				if d := math.Abs(float64(row[0]) - want); d > worst {
					worst, at = d, v
				}
			}
		}
		if worst > 0.05 { // of a code: N-Log's cube root stands upright at -0.0075; elsewhere a join's bend
			t.Errorf("%s: %.4f code off at %g", c.Name, worst, at)
		}
	}
}
