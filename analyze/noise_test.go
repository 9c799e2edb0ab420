package analyze

import (
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

func testCamera(name string) synth.Camera {
	c, err := curve.Find(name)
	if err != nil {
		panic(err)
	}
	return synth.Camera{Width: 640, Height: 360, Curve: c, Matrix: curve.BT709, Bits: 10, Sampling: synth.S422,
		Noise: synth.Noise{Read: 0.001, Shot: 0.0002}, Ceiling: 11.64}
}

func TestNoiseOfTiles(t *testing.T) {
	cam := testCamera("S-Log3")
	f := expose(t, cam, synth.Shot{Scene: synth.TestTiles(640, 360), Frames: 12, Seed: 1})
	r := measure(t, f, settings(cam))
	for _, tone := range r.Noise.Tones {
		want := f.truth.SigmaCode(tone.Code)
		db, low, high := tone.SNR()
		t.Logf("%+6.2f stops code %6.1f sigma %.3f want %.3f (%+.1f %%) cells %d rel %.3f snr %.1f %.1f %.1f fixed %.2f row %.2f col %.2f",
			tone.Stops, tone.Code, tone.SigmaCode, want, 100*(tone.SigmaCode/want-1), tone.Cells, tone.Relative, db, low, high, tone.Fixed, tone.Row, tone.Column)
	}
	t.Logf("model %+v reason %q floor %.2f want %.2f usable %.2f grain %.2f %v", r.Noise.Model, r.Noise.ModelReason, r.Noise.Floor, f.truth.FloorStops, r.Noise.Usable, r.Noise.GrainPx, r.Noise.ChannelGrain)
	t.Logf("truth noise %+v; codec %+v suppressed %q rejected %.3f", f.truth.Noise, r.Noise.Codec, r.Noise.Suppressed, r.Noise.RejectedShare)
	t.Logf("ceiling %+v truth %v; clipped %+v truth %+v", r.Highlights.Ceiling, f.truth.Ceilings, r.Highlights.Clipped, f.truth.Clipped)
	t.Logf("%+v", r.Highlights)
	t.Logf("%+v", r.Advice)
	if math.IsNaN(r.Noise.Floor) {
		t.Error("no floor")
	}
}
