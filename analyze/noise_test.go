package analyze

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

func camera(t testing.TB, name string) synth.Camera {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return synth.Camera{Width: 640, Height: 360, Curve: c, Matrix: curve.BT709, Bits: 10, Sampling: synth.S422,
		Noise: synth.Noise{Read: 0.001, Shot: 0.0002}}
}

// checkTones compares every tone between low and high recorded stops with the truth, but for
// those in whose noise the curve has its kink: there a cell's mean does not tell its noise.
func checkTones(t *testing.T, r *Result, truth synth.Truth, low, high, tolerance float64) {
	t.Helper()
	seen := 0
	for _, tone := range r.Noise.Tones {
		if tone.Stops < low || tone.Stops > high {
			continue
		}
		code10 := r.Reading.Code10(tone.Code)
		want := truth.SigmaCode(code10) * math.Exp2(float64(r.Reading.Bits)-10)
		if want < LeastSigma*1.1 {
			continue // whole codes hide it
		}
		if kinked(r, truth, tone) {
			continue
		}
		seen++
		if math.IsNaN(tone.SigmaCode) || math.Abs(tone.SigmaCode/want-1) > tolerance {
			t.Errorf("%+.2f stops (code %.1f, %d cells): sigma %.3f codes, want %.3f (%+.1f %%, tolerance %.0f %%)",
				tone.Stops, code10, tone.Cells, tone.SigmaCode, want, 100*(tone.SigmaCode/want-1), 100*tolerance)
		}
	}
	if seen < 6 {
		t.Errorf("only %d tones between %+.0f and %+.0f stops could be compared", seen, low, high)
	}
}

// TestNoise measures tiles of known tone through the synthetic camera: three curves, read noise
// 0.0003 .. 0.006, shot noise 0.00003 .. 0.002, the camera still and panning by three pixels a
// frame, a moving subject, and mains flicker.
func TestNoise(t *testing.T) {
	levels := []synth.Noise{{Read: 0.0003, Shot: 0.00003}, {Read: 0.0012, Shot: 0.0003}, {Read: 0.006, Shot: 0.002}}
	motions := map[string]synth.Shot{
		"still":   {},
		"subject": {},
		"pan":     {Pan: synth.Point{X: 3}},
		"flicker": {Flicker: synth.Flicker{Depth: 0.3, MainsHz: 60, ShutterS: 1.0 / 50}},
	}
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, level := range levels {
			for motion, shot := range motions {
				t.Run(fmt.Sprintf("%s/read %g/%s", name, level.Read, motion), func(t *testing.T) {
					cam := camera(t, name)
					cam.Noise, cam.Width, cam.Height = level, 512, 288
					shot.Scene, shot.Frames, shot.Seed = synth.TestTiles(cam.Width, cam.Height), 10, 7
					if motion == "subject" {
						shot.Scene.Parts = append(shot.Scene.Parts, passerBy(cam.Width, cam.Height))
					}
					f := expose(t, cam, shot)
					r := measure(t, f, settings(cam))
					checkTones(t, r, f.truth, -6, 1, sigmaLossless)
					if d := r.Noise.Floor - f.truth.FloorStops; !(math.Abs(d) <= floorLossless) {
						t.Errorf("floor %+.2f stops, want %+.2f", r.Noise.Floor, f.truth.FloorStops)
					}
					checkModel(t, r.Noise, f.truth.Noise)
					if r.Noise.Suppressed != "" {
						t.Errorf("lossless noise is called suppressed: %s", r.Noise.Suppressed)
					}
				})
			}
		}
	}
}

// passerBy is a figure that walks across a third of the frame in a second.
func passerBy(width, height int) synth.Part {
	w, h := float64(width), float64(height)
	return synth.Figure{X: 0.3 * w, Y: 0.9 * h, Height: 0.6 * h, Coat: synth.Light{0.5, 0.15, 0.03}, Trousers: synth.Grey(0.03),
		Skin: synth.Light{0.36, 0.25, 0.19}, Steps: 1.8, Path: synth.Steadily(0.33*w, 0), Soft: 2}
}

// kinked tells whether the curve's kink lies in a tone: noise in codes then jumps within it.
func kinked(r *Result, truth synth.Truth, tone Tone) bool {
	at := func(k float64) float64 {
		return math.Log(truth.SigmaCode(r.Reading.Code10(r.Reading.CodeOf(tone.Linear * k))))
	}
	return math.Abs(at(0.82)-2*at(1)+at(1/0.82)) > 0.03
}

// checkModel compares read and shot noise where the tones can tell them: read noise where it
// rules the floor, shot noise always.
func checkModel(t *testing.T, n Noise, truth synth.Noise) {
	t.Helper()
	m := n.Model
	if m == nil {
		t.Errorf("no model: %s", n.ModelReason)
		return
	}
	if d := m.Read/truth.Read - 1; math.Abs(d) > modelParts {
		t.Errorf("read noise %.3g, want %.3g (%+.0f %%)", m.Read, truth.Read, 100*d)
	}
	if d := m.Shot/truth.Shot - 1; math.Abs(d) > modelParts {
		t.Errorf("shot noise %.3g, want %.3g (%+.0f %%)", m.Shot, truth.Shot, 100*d)
	}
}

// TestNoiseEfficiency spreads the estimate of one tone over seeds: it must come within 1.5 times
// of sqrt(2/N), the limit for N samples, in variance, and be unbiased within four standard
// errors.
func TestNoiseEfficiency(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height = 128, 96
	cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0004}
	grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.05)}}}
	const seeds = 50
	var sum, square, limit float64
	var truth synth.Truth
	for seed := range uint64(seeds) {
		f := expose(t, cam, synth.Shot{Scene: grey, Frames: 8, Seed: seed + 1})
		r := measure(t, f, settings(cam))
		tone := mainTone(r.Noise.Tones)
		v := tone.SigmaCode * tone.SigmaCode
		sum += v
		square += v * v
		// Samples of all differences, less the third that overlapping pairs share.
		limit = 2 / (float64(cam.Width*cam.Height) * pairFreedom(7))
		truth = f.truth
	}
	want := truth.SigmaCode(truth.Reading.CodeOf(0.05))
	want *= want
	mean := sum / seeds
	spread := math.Sqrt((square/seeds - mean*mean) * seeds / (seeds - 1))
	t.Logf("variance %.4f, want %.4f; spread %.4f, limit %.4f", mean, want, spread/want, math.Sqrt(limit))
	if spread/want > 1.5*math.Sqrt(limit) {
		t.Errorf("spread %.4f of the variance, at most %.4f", spread/want, 1.5*math.Sqrt(limit))
	}
	if math.Abs(mean/want-1) > 4*math.Sqrt(limit/seeds)+0.004 {
		t.Errorf("variance %.4f, want %.4f", mean, want)
	}
}

func mainTone(tones []Tone) Tone {
	best := tones[0]
	for _, tone := range tones {
		if tone.Cells > best.Cells {
			best = tone
		}
	}
	return best
}
