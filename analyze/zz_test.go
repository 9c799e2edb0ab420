package analyze

import (
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

func TestZZ2(t *testing.T) {
	for _, name := range []string{"S-Log3", "LogC3", "V-Log"} {
		for _, level := range []float64{.003, .0075, .0113, .0146, .02, .05, .18} {
			cam := camera(t, name)
			cam.Sampling = synth.S420
			cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0004}
			scene := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(level)}}}
			f := expose(t, cam, synth.Shot{Scene: scene, Frames: 8, Seed: 1})
			r := measure(t, f, settings(cam))
			tone := mainTone(r.Noise.Tones)
			want := f.truth.SigmaCode(f.truth.Reading.CodeOf(level))
			db, low, high := tone.SNR()
			truth := 20 * math.Log10(level/f.truth.SigmaLinear(level))
			t.Logf("%s %+.2f: sigma code %.4f; sigma lin %.4f, linear %.4f; dB %.3f (%.3f) want %.3f error %.3f", name, curve.ToStops(level), tone.SigmaCode/want-1,
				tone.SigmaLinear/f.truth.SigmaLinear(level)-1, tone.Linear/level-1, db, (high-low)/2, truth, db-truth)
		}
	}
}
