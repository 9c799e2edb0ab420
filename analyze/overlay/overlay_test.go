package overlay_test

import (
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/overlay"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
)

// surveys returns the surveys of two pairs of frames of a shot, as they are scouted.
func surveys(t *testing.T, set func(*footage.Shot)) ([]*cells.Survey, curve.Reading) {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	cam := footage.NewCamera(640, 352, c, 5)
	cam.Oversample = 1
	shot := footage.Shot{Frames: 4, Seed: 3, Scene: func(w, h int) footage.Scene {
		return footage.Scene{Still: []synth.Part{footage.NewShapes(-90, -90, float64(w+180), float64(h+180), 14, 150, 8)}}
	}}
	set(&shot)
	reel := footage.NewReel(cam, shot)
	var all []*cells.Survey
	chroma := cam.Record.Reading().Chroma(cam.Record.Matrix)
	for range 2 {
		now, was := reel.Next().Frame(), reel.Next().Frame()
		all = append(all, survey(now, was, chroma))
	}
	return all, cam.Record.Reading()
}

func survey(now, was *decode.Frame, chroma curve.Chroma) *cells.Survey {
	s := cells.NewSurvey(now)
	a, b := cells.Channels(now, chroma), cells.Channels(was, chroma)
	for y := 0; y < a.Height; y += cells.Size {
		s.Add(y, a.Width, a.Block(y), b.Block(y))
	}
	s.Finish()
	return s
}

// The codes are those of video black and white: 64 and 940 (Recommendation ITU-R BT.2100-2).
func TestOverlaysAreFound(t *testing.T) {
	sky := synth.NewPanel(geometry.Upright(-500, -500, 3000, 800), synth.Light{90, 90, 90}, 0)
	for name, c := range map[string]struct {
		set  func(*footage.Shot)
		want []overlay.Kind
		rows int // of cells at the top and the bottom that are marked
	}{
		"nothing": {func(*footage.Shot) {}, nil, 0},
		"mattes": {func(s *footage.Shot) { s.Overlays = []footage.Overlay{footage.Matte{Rows: 40, Code: 64}} },
			[]overlay.Kind{overlay.Matte, overlay.Matte}, 3},
		"mattes at 0": {func(s *footage.Shot) { s.Overlays = []footage.Overlay{footage.Matte{Rows: 32, Code: 4}} },
			[]overlay.Kind{overlay.Matte, overlay.Matte}, 3},
		"a logo": {func(s *footage.Shot) { s.Overlays = []footage.Overlay{footage.Logo{X: 32, Y: 32, Size: 64, Code: 940}} },
			[]overlay.Kind{overlay.Logo}, 0},
		"a clipped sky": {func(s *footage.Shot) {
			scene := s.Scene
			s.Scene = func(w, h int) footage.Scene {
				all := scene(w, h)
				all.Still = append(all.Still, sky)
				return all
			}
		}, nil, 0},
	} {
		t.Run(name, func(t *testing.T) {
			all, reading := surveys(t, c.set)
			found := overlay.Find(all, nil, reading)
			if len(found.Areas) != len(c.want) {
				t.Fatalf("found %+v, want %v", found.Areas, c.want)
			}
			for i, kind := range c.want {
				if found.Areas[i].Kind != kind {
					t.Errorf("area %d is a %s, want a %s", i, found.Areas[i].Kind, kind)
				}
			}
			if n := 2 * c.rows * 640 / cells.Size; c.rows > 0 && found.Mask.Count() != n {
				t.Errorf("%d cells marked, want %d", found.Mask.Count(), n)
			}
		})
	}
}

func TestNothingToLookAt(t *testing.T) {
	if r := overlay.Find(nil, nil, curve.Reading{}); r.Mask != nil || r.Areas != nil {
		t.Errorf("found %+v without a frame", r)
	}
}
