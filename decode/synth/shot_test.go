package synth

import (
	"math"
	"slices"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// lightAt is the exposed light of a pixel of a shot of even light.
func lightAt(t *testing.T, shot Shot, frame, x, y int) Light {
	t.Helper()
	r, err := NewRenderer(exact(t, 100, 60), shot)
	if err != nil {
		t.Fatal(err)
	}
	return r.lightAt(frame, x, y)
}

// Frames follow one another at the rate; 25 a second where none is told.
func TestTimesOfFrames(t *testing.T) {
	for _, c := range []struct {
		num, den, frame int
		want            float64
	}{{0, 0, 50, 2}, {24, 0, 12, 0.5}, {24000, 1001, 24, 1.001}, {60, 1, 1, 1.0 / 60}} {
		s := Shot{RateNum: c.num, RateDen: c.den}
		if got := float64(s.Time(c.frame)); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("frame %d at %d/%d: %g s, want %g", c.frame, c.num, c.den, got, c.want)
		}
	}
}

// Drift and steps add to the exposure in stops: a step counts from its time on.
func TestExposureOverTime(t *testing.T) {
	s := Shot{Stops: 0.5, Drift: -0.25, Steps: []Step{{AtS: 1, Stops: 1}, {AtS: 2, Stops: -0.5}}}
	for frame, want := range map[int]float64{0: 0.5, 24: 0.26, 25: 1.25, 49: 1.01, 50: 0.5, 100: 0} {
		if got := math.Log2(s.gain(frame, 0, 10)); math.Abs(got-want) > 1e-9 {
			t.Errorf("frame %d: %+.4f stops, want %+.4f", frame, got, want)
		}
	}
	if s.steady() || (Shot{Drift: 1}).steady() || (Shot{Flicker: Flicker{Depth: 0.1}}).steady() ||
		!(Shot{Stops: 3}).steady() {
		t.Error("steady is not told from changing")
	}
}

// A gradient is zero at the centre and half of itself at either edge.
func TestGradient(t *testing.T) {
	scene := Scene{Parts: []Part{Fill{Grey(0.18)}}}
	shot := Shot{Scene: scene, Gradient: Gradient{Across: 2, Down: -1}}
	stops := func(x, y int) float64 { return math.Log2(float64(lightAt(t, shot, 0, x, y)[1]) / 0.18) }
	for _, c := range []struct {
		x, y int
		want float64
	}{
		{50, 30, 2*(50.5/100-0.5) - (30.5/60 - 0.5)}, {0, 30, 2*(0.5/100-0.5) - (30.5/60 - 0.5)},
		{99, 0, 2*(99.5/100-0.5) + 0.5 - 0.5/60}, {0, 59, 2*(0.5/100-0.5) - (59.5/60 - 0.5)},
	} {
		if got := stops(c.x, c.y); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("at %d, %d: %+.4f stops, want %+.4f", c.x, c.y, got, c.want)
		}
	}
	if across := stops(99, 30) - stops(0, 30); math.Abs(across-2*0.99) > 1e-4 {
		t.Errorf("from the first column's centre to the last's: %+.4f stops", across)
	}
}

// Glare is light added before the exposure, the cast a colour put over both.
func TestVeilAndCast(t *testing.T) {
	scene := Scene{Parts: []Part{Fill{Light{0.1, 0.2, 0.4}}}}
	got := lightAt(t, Shot{Scene: scene, Veil: 0.05, Stops: 1, Cast: Light{1.5, 1, 0.5}}, 0, 10, 10)
	for c, want := range []float64{(0.1 + 0.05) * 2 * 1.5, (0.2 + 0.05) * 2, (0.4 + 0.05) * 2 * 0.5} {
		if math.Abs(float64(got[c])/want-1) > 1e-6 {
			t.Errorf("channel %d: %.5f, want %.5f", c, got[c], want)
		}
	}
	if plain := lightAt(t, Shot{Scene: scene}, 0, 10, 10); plain != (Light{0.1, 0.2, 0.4}) {
		t.Errorf("without either: %v", plain)
	}
}

// A pan by whole pixels shifts the picture: frame k shows what frame 0 showed k pans further on.
func TestPanShiftsThePicture(t *testing.T) {
	const w, h, dx, dy = 160, 90, 3, 2
	scene := Scene{Parts: []Part{
		Fill{Grey(0.05)}, NewCard(geometry.Upright(60, 40, 40, 30), 0.18),
		Capsule{From: geometry.Pt(120, 30), To: geometry.Pt(140, 60), Radius: 6, Light: Grey(1)},
	}}
	shot := Shot{Scene: scene, Pan: geometry.Pt(dx, dy), Frames: 5}
	frames, truth, err := Expose(exact(t, w, h), shot)
	if err != nil {
		t.Fatal(err)
	}
	for k := 1; k < 5; k++ {
		for y := range h - k*dy {
			got, want := frames[k].Row(0, y)[:w-k*dx], frames[0].Row(0, y+k*dy)[k*dx:]
			if !slices.Equal(got, want) {
				t.Fatalf("frame %d, row %d is not row %d of the first", k, y, y+k*dy)
			}
		}
	}
	card, _ := truth.Region("card")
	for k := range 5 {
		if at := card.Corners(k)[0]; at.Distance(geometry.Pt(60-float64(k*dx), 40-float64(k*dy))) > 1e-9 {
			t.Errorf("frame %d: the card's corner is told at %v", k, at)
		}
	}
}

// Rows of a rolling shutter are exposed one after another: the band that lamps make moves down by a
// swing of the mains for each of its times in the readout.
func TestRollingShutterMakesBands(t *testing.T) {
	s := Shot{Flicker: Flicker{Depth: 0.5, MainsHz: 50, ShutterS: 0.001, ReadoutS: 0.02}}
	const rows = 400 // the readout holds two swings of 100 Hz
	for row := range rows / 2 {
		if a, b := s.gain(0, row, rows), s.gain(0, row+rows/2, rows); math.Abs(a-b) > 1e-9 {
			t.Fatalf("rows %d and %d: %g and %g", row, row+rows/2, a, b)
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for row := range rows {
		low, high = min(low, s.gain(0, row, rows)), max(high, s.gain(0, row, rows))
	}
	// A shutter of a tenth of a swing keeps sin(pi/10)/(pi/10) = 0.984 of it.
	if math.Abs(high-low-0.984) > 2e-3 {
		t.Errorf("bands span %.4f of the light", high-low)
	}
	if g := (Shot{}).gain(3, 7, rows); g != 1 {
		t.Errorf("no lamp flickers and the light is %g", g)
	}
}

// Whatever moves the exposure, the placement told of each frame is that of the light on the card.
func TestSeriesFollowsTheLight(t *testing.T) {
	scene := Scene{Parts: []Part{Fill{Grey(0.05)}, NewCard(geometry.Upright(30, 15, 40, 30), 0.18)}}
	shot := Shot{Scene: scene, Frames: 30, Stops: -0.5, Drift: 0.8, Steps: []Step{{AtS: 0.5, Stops: -1}}}
	r, err := NewRenderer(exact(t, 100, 60), shot)
	if err != nil {
		t.Fatal(err)
	}
	truth := r.Truth()
	sum := 0.0
	for f, s := range truth.Series {
		want := -0.5 + 0.8*float64(f)/25
		if f >= 13 { // 0.52 s is the first frame at or after half a second
			want--
		}
		if math.Abs(float64(s)-want) > 1e-5 {
			t.Errorf("frame %d: %+.5f stops, want %+.5f", f, float64(s), want)
		}
		sum += want / 30
	}
	if math.Abs(float64(truth.Placement)-sum) > 1e-5 {
		t.Errorf("placement %+.5f, want the mean %+.5f", float64(truth.Placement), sum)
	}
}

// Truth of a shot without frames, and of one where nothing changes: nothing is told that is not so.
func TestTruthOfLittle(t *testing.T) {
	r, err := NewRenderer(exact(t, 64, 36),
		Shot{Scene: Scene{Parts: []Part{NewCard(geometry.Upright(10, 10, 20, 20), 0.18)}}})
	if err != nil {
		t.Fatal(err)
	}
	truth := r.Truth()
	if truth.Placement != 0 || len(truth.Series) != 0 || len(truth.ClippedEach) != 0 {
		t.Errorf("%+v", truth)
	}
	card, _ := truth.Region("card")
	if len(card.Quads) != 1 || card.Rect(9) != card.Rect(0) || card.Corners(9) != card.Corners(0) {
		t.Error("a card that stands still is in several places")
	}
	if _, found := truth.Region("no such mark"); found {
		t.Error("a mark is found that is not there")
	}
}

// Shares are means over the frames, each counted at the sensor.
func TestCountIsAMean(t *testing.T) {
	var truth Truth
	for _, n := range []int{10, 0, 50} {
		truth.Count(Planes{Clipped: ClipCount{R: n, G: 2 * n, B: 0, Any: 2 * n, All: 0, Pixels: 100}})
	}
	want := ClipShares{R: 0.2, G: 0.4, Any: 0.4}
	for name, d := range map[string]curve.Share{"R": truth.Clipped.R - want.R, "G": truth.Clipped.G - want.G,
		"B": truth.Clipped.B, "any": truth.Clipped.Any - want.Any, "all": truth.Clipped.All} {
		if math.Abs(float64(d)) > 1e-12 {
			t.Errorf("%s: off by %g", name, float64(d))
		}
	}
	if (ClipCount{}).Shares() != (ClipShares{}) {
		t.Error("shares of no pixels")
	}
}
