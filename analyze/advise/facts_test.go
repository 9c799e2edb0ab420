package advise

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
)

// near fails where got lies further from want than tolerance, relative to want.
func near[T, U ~float64](t *testing.T, what string, got T, want U, tolerance float64) {
	t.Helper()
	if off := math.Abs(float64(got) - float64(want)); !(off <= tolerance*math.Abs(float64(want))) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// unmoved is a variation in which nothing was found.
func unmoved() variation.Result {
	stops := curve.Unknown[curve.Stops]()
	return variation.Result{Drift: stops, Step: stops, StepAt: curve.Unknown[curve.Seconds](), Flicker: stops,
		FlickerHz: curve.Unknown[curve.Ratio]()}
}

// clearFacts are of a clip about which there is nothing to say but that its grey is not known. Its
// ceiling is six stops over grey.
func clearFacts(t testing.TB) Facts {
	t.Helper()
	r := curve.Reading{Curve: testframes.Curve(t, "S-Log3"), Range: curve.Narrow, Bits: 10}
	return Facts{Noise: &noise.Result{Coding: lossless}, Reading: r, Variation: unmoved(),
		Patches: curve.Unknown[curve.Stops](), Clipping: &clipping.Result{Headroom: 2, Brightest: 4,
			Ceiling: clipping.Ceiling{Level: r.Level(r.CodeOf(curve.Stops(6).Light())), Recorded: 6, Origin: clipping.Measured}}}
}

// placed finds grey in a region, so many stops over nominal.
func placed(stops curve.Stops) func(*Facts) {
	return func(f *Facts) {
		f.Placement = &placement.Placement{Stops: stops, Low: stops - 0.05, High: stops + 0.05, Method: placement.Region,
			Confidence: curve.Unknown[curve.Ratio](), Reflectance: 0.18, Drift: curve.Unknown[curve.Stops]()}
	}
}

// clipped clips areas; a field leaves no headroom to tell.
func clipped(shares clipping.Shares, areas ...clipping.Area) func(*Facts) {
	return func(f *Facts) {
		f.Clipping.Areas, f.Clipping.Clipped = areas, shares
		for _, a := range areas {
			if a.Kind == clipping.Field {
				f.Clipping.Headroom = curve.Unknown[curve.Stops]()
			}
		}
	}
}

// evenly is a share clipped in all channels alike.
func evenly(s curve.Share) clipping.Shares { return clipping.Shares{R: s, G: s, B: s, Any: s, All: s} }

func field(share, some curve.Share) clipping.Area {
	return clipping.Area{Share: share, Peak: share, Some: some, Kind: clipping.Field}
}

func points(share curve.Share) clipping.Area {
	return clipping.Area{Share: share, Peak: share, Kind: clipping.Points}
}

// readNoise has a model of the same noise at every tone, at which shadows carry so many dB where
// grey is placed so many stops over nominal.
func readNoise(db float64, grey curve.Stops) *noise.Model {
	return &noise.Model{Read: curve.Light(float64((grey - 4).Light()) / math.Pow(10, db/20))}
}

// toneAt is a measured tone; SNR and its interval are on a line through 0 dB at -10 stops.
func toneAt(recorded curve.Stops, snr, half curve.Decibels) noise.Tone {
	l := recorded.Light()
	return noise.Tone{Recorded: recorded, Light: l, SigmaLinear: curve.Light(float64(l) / math.Pow(10, float64(snr)/20)),
		SNR: snr, Low: snr - half, High: snr + half}
}

// checkTexts fails for texts that show what is no number, a zero with a sign, or a share of
// nothing.
func checkTexts(t *testing.T, a Advice) {
	t.Helper()
	texts := []string{a.Next.Text, a.Summary}
	for _, f := range a.Findings {
		texts = append(texts, f.Text)
	}
	for _, text := range texts {
		for _, bad := range []string{"NaN", "Inf", "-0.0 ", "-0.00 ", " -0 ", "%!", "+0.0 ", "+0.00 ", "(0.00 %", " 0.0 %",
			" 0 %", "  "} {
			if strings.Contains(text, bad) {
				t.Errorf("text shows %q: %s", bad, text)
			}
		}
		if text == "" || !strings.HasSuffix(text, ".") {
			t.Errorf("not a sentence: %q", text)
		}
	}
}

// levelOf returns the level of the finding of a kind, "" for none.
func levelOf(a Advice, id ID) Level {
	for _, f := range a.Findings {
		if f.ID == id {
			return f.Level
		}
	}
	return ""
}

// lossless is of a recording of whose noise nothing was lost.
var lossless = noise.Coding{Origin: noise.Lossless}
