package advise

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// TestNextTake checks what is to change on the next take.
func TestNextTake(t *testing.T) {
	window := []clipping.Area{field(0.05, 0)}
	for _, tc := range []struct {
		name     string
		grey     curve.Stops
		headroom curve.Stops
		read     curve.Light // noise of the model
		clipped  []clipping.Area
		unseen   curve.Code // no ceiling is seen: where the codes end, or recordings as published; 0 where one is
		stops    curve.Stops
		text     string
	}{
		{"a field clips over the target", 1.5, 0, 1e-4, window, 0, -1.5, "Close down 1.5 stops"},
		{"a field clips at the target", 0, 0, 1e-4, window, 0, 0, "shade or filter"},
		{"a field clips just over the target", 0.14, 0, 1e-4, window, 0, 0, "shade or filter"},
		// 26 dB at -4 stops wants a light of 0.2 where the noise is 0.01: +4.15 stops.
		{"noisy with room", 0, 2, 0.01, nil, 0, 1.7,
			"Open up 1.7 stops: shadows gain, and the brightest content stays at least 0.3 stops under"},
		{"noisy with ample room", 0, 6, 0.01, nil, 0, 4.148, "Open up 4.1 stops"},
		{"noisy without room", 0, 0.4, 0.01, nil, 0, 0, "Keep this exposure."},
		{"clean with room", 0, 2, 1e-4, nil, 0, 0,
			"Keep this exposure; up to 1.7 stops more would still hold the highlights, 0.3 stops under the ceiling."},
		{"clean, ceiling not seen", 0, 2, 1e-4, nil, 1019, 0,
			"Keep this exposure: this take does not show where the camera clips."},
		{"noisy, ceiling not seen", 0, 4, 0.01, nil, 1019, 1.7, "Open up 1.7 stops"},
		// S-Log3 recordings end at 94 %, code 887 (support article 00145909, Sony).
		{"noisy, recordings end as published", 0, 2, 0.01, nil, 887, 1.7, "Open up 1.7 stops"},
		{"clean, only points clip", 0, 2, 1e-4, []clipping.Area{points(0.001)}, 0, 0, "Keep this exposure; up to 1.7"},
	} {
		f := clearFacts(t)
		placed(tc.grey)(&f)
		f.Clipping.Areas, f.Clipping.Headroom = tc.clipped, tc.headroom
		if tc.unseen > 0 {
			f.Clipping.Ceiling.Origin, f.Clipping.Ceiling.Code = clipping.CurveEnd, tc.unseen
		}
		f.Noise.Model = &noise.Model{Read: tc.read}
		n := Advise(f).Next
		if math.Abs(float64(n.Stops-tc.stops)) > 0.01 || !strings.Contains(n.Text, tc.text) {
			t.Errorf("%s: %+.3f stops, %q; want %+.3f, %q", tc.name, n.Stops, n.Text, tc.stops, tc.text)
		}
		// Zebra percent of S-Log3 by placement: Technical Summary for S-Log3, worked: 41 % is grey.
		want := f.Reading.Percent(f.Reading.CodeOf(curve.Light(0.18 * math.Exp2(float64(tc.grey+tc.stops)))))
		if math.Abs(float64(n.Zebra-want)) > 0.1 {
			t.Errorf("%s: zebra %.2f %%, want %.2f", tc.name, n.Zebra, want)
		}
	}
}

// TestZebraOfPlacement: S-Log3 grey by placement reads -2 24.6 %, -1 32.3, 0 40.6, +1 49.3,
// +1.65 55.0, +2 58.1, +3 67.0 % (worked from the Technical Summary for S-Log3, Sony). What a
// placement needs for 20, 26 and 32 dB reads accordingly.
func TestZebraOfPlacement(t *testing.T) {
	for stops, want := range map[curve.Stops]curve.Percent{
		-2: 24.6, -1: 32.3, 0: 40.6, 1: 49.3, 1.65: 55.0, 2: 58.1, 3: 67.0,
	} {
		f := clearFacts(t)
		f.Target = stops
		placed(stops)(&f)
		f.Noise.Model = readNoise(26, stops)
		n := Advise(f).Next
		if math.Abs(float64(n.Zebra-want)) > 0.06 {
			t.Errorf("%+.2f stops: %.2f %%, want %.1f", stops, n.Zebra, want)
		}
		p := n.For[1]
		if p.SNR != 26 || math.Abs(float64(p.Placement-stops)) > 1e-9 || math.Abs(float64(p.Zebra-want)) > 0.06 {
			t.Errorf("26 dB at %+.3f stops, %.2f %%; want %+.2f, %.1f", p.Placement, p.Zebra, stops, want)
		}
	}
}

// TestNextTakeWithoutGround: without grey, without a model, and where all is black.
func TestNextTakeWithoutGround(t *testing.T) {
	f := clearFacts(t)
	if n := Advise(f).Next; !strings.HasPrefix(n.Text, "Put a grey card") || curve.Finite(n.Zebra) || len(n.For) > 0 {
		t.Errorf("without grey: %+v", n)
	}
	placed(0)(&f)
	f.Noise.Tones = []noise.Tone{toneAt(-10, 5, 1), toneAt(2, 57, 1)}
	if n := Advise(f).Next; len(n.For) > 0 || !strings.HasPrefix(n.Text, "Keep this exposure") {
		t.Errorf("without a model: %+v", n)
	}
	f.Clipping.Headroom = curve.Unknown[curve.Stops]()
	if n := Advise(f).Next; !strings.HasPrefix(n.Text, "How far the highlights reach") || curve.Finite(n.Stops) {
		t.Errorf("all black: %+v", n)
	}
}

// TestNextTakeOfDoubt: no take that may be clipped is given more light, and none is advised from a
// reading in doubt.
func TestNextTakeOfDoubt(t *testing.T) {
	f := clearFacts(t)
	placed(0)(&f)
	f.Noise.Model = &noise.Model{Read: 0.01}
	f.Clipping.Undecided = true
	if n := Advise(f).Next; curve.Finite(n.Stops) || !strings.HasPrefix(n.Text, "The highlights may be clipped") {
		t.Errorf("undecided: %+v", n)
	}
	f.Clipping.Undecided, f.Doubts = false, []Finding{{CurveDoubt, Caution, "Another curve."}}
	if n := Advise(f).Next; curve.Finite(n.Stops) || !strings.HasPrefix(n.Text, "Settle first") {
		t.Errorf("in doubt: %+v", n)
	}
}

// TestOffersThatClip: 20, 26 and 32 dB want light that the highlights bear or not.
func TestOffersThatClip(t *testing.T) {
	yes, no := true, false
	for _, tc := range []struct {
		name string
		set  func(*Facts)
		want [3]*bool
	}{
		// With 26 dB at nominal they lie at -1, 0 and +1 stop of light in noise that is read noise only.
		{"room for half a stop", func(f *Facts) { f.Clipping.Headroom = 0.8 }, [3]*bool{&no, &no, &yes}},
		{"ample room", func(*Facts) {}, [3]*bool{&no, &no, &no}},
		{"no room", func(f *Facts) { f.Clipping.Headroom = 0 }, [3]*bool{&no, &no, &yes}},
		{"a field clips", clipped(evenly(0.02), field(0.02, 0)), [3]*bool{nil, nil, &yes}},
		{"undecided", func(f *Facts) { f.Clipping.Undecided = true }, [3]*bool{}},
		{"room unknown", func(f *Facts) { f.Clipping.Headroom = curve.Unknown[curve.Stops]() }, [3]*bool{}},
	} {
		f := clearFacts(t)
		placed(0.001)(&f) // just over the middle one
		f.Noise.Model = readNoise(26, 0)
		tc.set(&f)
		for i, n := range Advise(f).Next.For {
			if want := tc.want[i]; (n.Clips == nil) != (want == nil) || want != nil && *n.Clips != *want {
				t.Errorf("%s: %+v", tc.name, n)
			}
		}
	}
}

// TestNoMoreLightOnDoubtfulNoise: what the shadows want is not told from noise that is in doubt.
func TestNoMoreLightOnDoubtfulNoise(t *testing.T) {
	f := clearFacts(t)
	placed(0)(&f)
	f.Clipping.Areas, f.Clipping.Headroom, f.Noise.Model = nil, 6, &noise.Model{Read: 0.01}
	sure := Advise(f)
	f.Noise.Doubt = "3 of 9 tones have no figure"
	doubted := Advise(f)
	if !(sure.Next.Stops > 0) || doubted.Next.Stops > 0 || len(doubted.Next.For) > 0 {
		t.Errorf("sure: %+v, in doubt: %+v", sure.Next, doubted.Next)
	}
}

// TestMoreMayClip: where something clips and more may, the verdict says so and speaks of no headroom.
func TestMoreMayClip(t *testing.T) {
	f := clearFacts(t)
	placed(0)(&f)
	f.Noise.Model = &noise.Model{Read: 0.01}
	f.Clipping.Areas = []clipping.Area{points(0.001)}
	f.Clipping.Clipped.Any, f.Clipping.Headroom, f.Clipping.Undecided = 0.001, 3, true
	a := Advise(f)
	if !strings.Contains(a.Summary, "More of the highlights may be clipped") || strings.Contains(a.Summary, "headroom") ||
		a.Next.Stops > 0 {
		t.Errorf("%s Next: %+v", a.Summary, a.Next)
	}
}
