package detect_test

import (
	"testing"

	"stopledger/analyze/detect"
	"stopledger/analyze/detect/pose"
	"stopledger/curve"
	"stopledger/decode/synth"
)

// filmTolerance in stops: the light falls off within a card and between it and the chart.
const filmTolerance = 0.05

// TestInventedFilm looks at the scenes of the synthetic camera, which knows where its cards and
// charts are: those are found, at their placement, and nothing else is.
func TestInventedFilm(t *testing.T) {
	if testing.Short() {
		t.Skip("renders whole frames")
	}
	scenes := []func(w, h int) synth.Scene{synth.Wheelhouse, synth.MessRoomWindow, synth.ChartTable,
		synth.Bulkhead, synth.HarbourSky, synth.QuayAtNight, synth.Deckhand}
	for i, build := range scenes {
		scene := build(1280, 720)
		stops := []curve.Stops{0, 1.65, -1, 2.5}[i%4]
		t.Run(scene.Name, func(t *testing.T) {
			t.Parallel()
			checkFilm(t, scene, stops)
		})
	}
}

func checkFilm(t *testing.T, scene synth.Scene, stops curve.Stops) {
	cam := synth.NewCamera(1280, 720, pose.SLog3().Curve)
	frames, truth, err := synth.Expose(cam, synth.Shot{Scene: scene, Seed: 1, Frames: 1, Stops: stops})
	if err != nil {
		t.Fatal(err)
	}
	found := detect.Look(frames[0].Frame(), cam.Reading(), cam.Matrix, detect.Options{})
	charts, cards := 0, 0
	for _, r := range truth.Regions {
		q := r.Corners(0)
		switch r.Kind {
		case synth.MarkChart:
			charts++
			if len(found.Charts) == 0 || off(found.Charts[0].Stops, stops) > filmTolerance ||
				!q.Contains(found.Charts[0].Corners.Centre()) {
				t.Errorf("chart at %.0f, %+.2f stops: found %+v", q, stops, found.Charts)
			}
		case synth.MarkCard:
			cards++
			want := r.Linear[0].Stops() - r.Reflectance.Stops()
			if len(found.Cards) == 0 || off(found.Cards[0].Stops, want) > filmTolerance ||
				!q.Contains(found.Cards[0].Corners.Centre()) {
				t.Errorf("card at %.0f, %+.2f stops: found %+v", q, want, found.Cards)
			}
		}
	}
	if len(found.Charts) > charts || len(found.Cards) > cards || len(found.Faces) > 0 {
		t.Errorf("invented: %d charts for %d, %d cards for %d, %d faces for none", len(found.Charts), charts,
			len(found.Cards), cards, len(found.Faces))
		for _, c := range found.Cards {
			t.Logf("card %.2f at %.0f, %+.2f stops", c.Confidence, c.Corners, c.Stops)
		}
	}
}
