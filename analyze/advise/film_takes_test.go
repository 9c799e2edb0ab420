package advise_test

import (
	"fmt"
	"math"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/synth"
)

// TestTwoTakes exposes the same scene at nominal and 1.65 stops over: what the second gains at
// scene -4 stops is told by its own noise, and is what the camera's model gives; the first take's
// figures agree with what the second says of a nominal exposure. Set side by side, the second is
// the cleaner by as much.
func TestTwoTakes(t *testing.T) {
	// Tiles are flat: where the brightest show no noise in whole codes, nothing tells them from clipped.
	noises := []synth.Noise{{Read: 0.0005, Shot: 0.0002}, {Read: 0.002, Shot: 0.0004}, {Read: 0.0004, Shot: 0.0008}}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, noise := range noises {
			t.Run(fmt.Sprintf("%s/read %g", name, float64(noise.Read)), func(t *testing.T) { twoTakes(t, name, noise) })
		}
	}
}

func twoTakes(t *testing.T, name string, noise synth.Noise) {
	cam := camera(t, name)
	cam.Width, cam.Height, cam.Noise = 480, 270, noise
	var results [2]*analyze.Result
	var advice [2]advise.Advice
	var truth synth.Truth
	for i, stops := range []curve.Stops{0, 1.65} {
		f := testframes.Expose(t, cam, synth.Shot{Scene: synth.TestTiles(cam.Width, cam.Height), Frames: 8, Seed: uint64(i),
			Stops: stops})
		tile, ok := f.Truth.Region("+0 stops")
		if !ok {
			t.Fatal("no grey tile")
		}
		grey := placement.GreyFrom{Reflectance: 0.18,
			Regions: []placement.Patch{{Region: tile.Rect(0), Reflectance: curve.MidGrey}}}
		results[i], advice[i] = judge(t, f, cam.Reading(), grey)
		truth = f.Truth
		checkGain(t, results[i], advice[i], truth, stops)
	}
	nominal, over := advice[0].After, advice[1].After
	if d := nominal.SNR - over.Nominal; !(math.Abs(float64(d)) <= snrOfTakes) {
		t.Errorf("a nominal exposure has %.2f dB, the other take says %.2f", nominal.SNR, over.Nominal)
	}
	checkSideBySide(t, results, truth)
}

// trueSNR is 20 log10(light / sigma) of the synthetic camera at recorded stops.
func trueSNR(truth synth.Truth, recorded curve.Stops) float64 {
	l := recorded.Light()
	return 20 * math.Log10(float64(l/truth.SigmaLinear(l)))
}

func checkGain(t *testing.T, r *analyze.Result, a advise.Advice, truth synth.Truth, stops curve.Stops) {
	t.Helper()
	snr, nominal := trueSNR(truth, stops-4), trueSNR(truth, -4)
	if d := float64(a.After.SNR) - snr; !(math.Abs(d) <= snrOfTakes) {
		t.Errorf("%+.2f stops: %.2f dB at scene -4 stops, want %.2f", stops, a.After.SNR, snr)
	}
	if d := float64(a.After.Gain) - (snr - nominal); !(math.Abs(d) <= snrOfTakes) {
		t.Errorf("%+.2f stops: gain of %.2f dB, want %.2f", stops, a.After.Gain, snr-nominal)
	}
	if d := r.Placement.Stops - stops; math.Abs(float64(d)) > placementLossless {
		t.Errorf("placed %+.3f, want %+.3f", r.Placement.Stops, stops)
	}
	pulled := a.Action == advise.Pull
	if pulled != (stops > 0.15) || math.Abs(float64(a.Stops-max(stops, 0))) > placementLossless {
		t.Errorf("%s by %.3f, want %.2f", a.Action, a.Stops, stops)
	}
}

// checkSideBySide compares the takes' difference at scene -4 stops with the camera's.
func checkSideBySide(t *testing.T, takes [2]*analyze.Result, truth synth.Truth) {
	t.Helper()
	var measured []advise.Measured
	for i, r := range takes {
		measured = append(measured, advise.Measured{Path: []string{"nominal.mov", "over.mov"}[i], Placement: r.Placement,
			Noise: &r.Noise, Clipping: &r.Clipping})
	}
	c := advise.Compare(measured)
	for _, f := range c.Takes[1].Figures {
		if f.Name != "snr" || *f.SceneStops != -4 {
			continue
		}
		want := trueSNR(truth, 1.65-4) - trueSNR(truth, -4)
		if d := f.Difference; d == nil || math.Abs(float64(d.Value)-want) > snrOfTakes || !d.Told || !d.Bounded() {
			t.Errorf("side by side %+v, want %.2f dB", d, want)
		}
	}
	if take := c.Recommendation.Take; take == nil || *take != 2 {
		t.Errorf("%s", c.Recommendation.Reason)
	}
}

// TestGreyIsFound: a card, a chart and a wall without either, exposed over nominal; what is found
// is the ground for a correction, the wall's average is not. A take with the card and one with the
// wall are not weighed against each other.
func TestGreyIsFound(t *testing.T) {
	var takes []advise.Measured
	for _, tc := range []struct {
		scene  func(int, int) synth.Scene
		method placement.Method
	}{{synth.Wheelhouse, placement.Card}, {synth.ChartTable, placement.Chart}, {synth.Bulkhead, placement.Scene}} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling = 640, 360, synth.S422
		f := testframes.Expose(t, cam, synth.Shot{Scene: tc.scene(cam.Width, cam.Height), Frames: 4, Seed: 2, Stops: 1})
		r, a := judge(t, f, cam.Reading(), placement.GreyFrom{Reflectance: 0.18})
		p := r.Placement
		if p == nil || p.Method != tc.method {
			t.Errorf("%s: %+v, want a %s", f.Truth.PlacementFrom, p, tc.method)
			continue
		}
		takes = append(takes, advise.Measured{Path: string(tc.method), Placement: p, Noise: &r.Noise, Clipping: &r.Clipping})
		if weak := tc.method == placement.Scene; p.Weak != weak || (a.Action == advise.None) != weak {
			t.Errorf("%s: weak %v, advice %s", p.Method, p.Weak, a.Action)
		}
		if d := p.Stops - f.Truth.Placement; !p.Weak && math.Abs(float64(d)) > foundGrey {
			t.Errorf("%s: placed %+.3f, want %+.3f", p.Method, p.Stops, f.Truth.Placement)
		}
		used := 0
		for _, c := range p.Candidates {
			if c.Used {
				used++
			}
		}
		if used != 1 {
			t.Errorf("%s: %d candidates are used: %+v", p.Method, used, p.Candidates)
		}
	}
	for i := range takes {
		for k := range i {
			if r := advise.Compare([]advise.Measured{takes[k], takes[i]}).Recommendation; r.Take != nil {
				t.Errorf("%s and %s: %s", takes[k].Path, takes[i].Path, r.Reason)
			}
		}
	}
}
