package analyze_test

import (
	"fmt"
	"reflect"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// TestShotsAreNotDecodedAgain: pictures of what was kept are those of frames that are decoded again, wherever
// grey turns out to be, and take no frame of the clip; a strip of another place does.
func TestShotsAreNotDecodedAgain(t *testing.T) {
	for name, c := range map[string]struct {
		frames   int
		every    bool
		longGOP  bool
		sampling synth.Sampling
	}{
		"groups":      {100, false, false, synth.S420},
		"every frame": {24, true, false, synth.S422},
		"short":       {3, false, false, synth.RGB},
		"in turn":     {100, false, true, synth.S422},
	} {
		cam, _ := darkRoom(t)
		cam.Width, cam.Height, cam.Sampling = 160, 80, c.sampling
		steps := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)},
			synth.NewPanel(geometry.Upright(0, 0, 70, 80), synth.Grey(0.18/30), 1),
			synth.NewPanel(geometry.Upright(70, 0, 40, 80), synth.Grey(0.18/8), 1)}}
		f := testframes.Expose(t, cam, synth.Shot{Scene: steps, Frames: c.frames, Seed: 3})
		f.About.LongGOP = c.longGOP
		set := sceneGrey()
		set.EveryFrame, set.Pictures = c.every, true
		r, shots, err := analyze.ClipAndShots(t.Context(), f, settledOf(cam), set, nil)
		if err != nil {
			t.Fatal(err)
		}
		strips := 0
		for stops := curve.Stops(-5); stops < 6; stops += 0.7 {
			grey := &placement.Placement{Stops: stops}
			kept, err := analyze.Stills(t.Context(), &fading{f, 0}, shots, r, grey, nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			again, err := analyze.Stills(t.Context(), f, nil, r, grey, nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got, want := shown(kept), shown(again); !reflect.DeepEqual(got, want) {
				t.Errorf("%s, grey %+.1f: pictures differ: %.300s and %.300s", name, float64(stops), fmt.Sprint(got),
					fmt.Sprint(want))
			}
			if kept.Shadows != nil {
				strips++
			}
		}
		if strips == 0 {
			t.Errorf("%s: no strip at all", name)
		}
		elsewhere := &geometry.Rect{X: 3, Y: 3, W: 20, H: 20}
		s, err := analyze.Stills(t.Context(), f, shots, r, nil, elsewhere, nil)
		if err != nil || s.Shadows == nil || s.Shadows.Area != *elsewhere || len(s.Shadows.Frames) == 0 {
			t.Errorf("%s: the strip asked for is %+v, %v", name, s.Shadows, err)
		}
		shots.Release()
	}
}

// shown are pictures, the full frame among them as a still.
func shown(s still.Stills) []any {
	return []any{s.Frame, fullOf(s), s.Shadows, s.Waveform, s.Channels, s.Grid}
}
