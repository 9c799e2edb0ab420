package analyze

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// TestTwoTakes exposes the same scene at nominal and 1.65 stops over: what the second gains at
// scene -4 stops is told by its own noise, and is what the camera's model gives; the first take's
// figures agree with what the second says of a nominal exposure.
func TestTwoTakes(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, noise := range []synth.Noise{{Read: 0.0005, Shot: 0.00005}, {Read: 0.002, Shot: 0.0004}, {Read: 0.0004, Shot: 0.0008}} {
			t.Run(fmt.Sprintf("%s/read %g", name, noise.Read), func(t *testing.T) {
				cam := camera(t, name)
				cam.Width, cam.Height, cam.Sampling, cam.Noise = 480, 270, synth.S420, noise
				var results [2]*Result
				for i, stops := range []float64{0, 1.65} {
					f := expose(t, cam, synth.Shot{Scene: synth.TestTiles(cam.Width, cam.Height), Frames: 8, Seed: uint64(i), Stops: stops})
					tile, ok := f.truth.Region("+0 stops")
					if !ok {
						t.Fatal("no grey tile")
					}
					set := settings(cam)
					set.Patches = []Patch{patchOf(tile.Rect(0), curve.MidGrey)}
					results[i] = measure(t, f, set)
					checkGain(t, results[i], f.truth, stops)
				}
				nominal, over := results[0].Advice.After, results[1].Advice.After
				if d := nominal.SNR - over.Nominal; !(math.Abs(d) <= snrOfTakes) {
					t.Errorf("a nominal exposure has %.2f dB, the other take says %.2f", nominal.SNR, over.Nominal)
				}
			})
		}
	}
}

func checkGain(t *testing.T, r *Result, truth synth.Truth, stops float64) {
	t.Helper()
	snr := func(stops float64) float64 {
		l := curve.FromStops(stops)
		return 20 * math.Log10(l/truth.SigmaLinear(l))
	}
	after := r.Advice.After
	if d := after.SNR - snr(stops-4); !(math.Abs(d) <= snrOfTakes) {
		t.Errorf("%+.2f stops: %.2f dB at scene -4 stops, want %.2f", stops, after.SNR, snr(stops-4))
	}
	if d := (after.SNR - after.Nominal) - (snr(stops-4) - snr(-4)); !(math.Abs(d) <= snrOfTakes) {
		t.Errorf("%+.2f stops: gain of %.2f dB, want %.2f", stops, after.SNR-after.Nominal, snr(stops-4)-snr(-4))
	}
	if d := r.Placement.Stops - stops; math.Abs(d) > placementLossless {
		t.Errorf("placed %+.3f, want %+.3f", r.Placement.Stops, stops)
	}
	if want := max(stops, 0); r.Advice.Action == "pull" != (want > 0.15) || math.Abs(r.Advice.Stops-want) > placementLossless {
		t.Errorf("%s by %.3f, want %.2f", r.Advice.Action, r.Advice.Stops, want)
	}
}
