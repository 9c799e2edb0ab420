package audit

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
)

// TestIrisPulledWithinAClip: where the iris moves by 1.5 stops while a card stands before the camera, no single pull
// fits the clip: none is advised, whichever way it moves, and the verdict opens with why. Without the movement, the
// pull is the truth's.
func TestIrisPulledWithinAClip(t *testing.T) {
	if testing.Short() {
		t.Skip("records and measures clips")
	}
	const pulled = 1.5
	for _, iris := range []curve.Stops{0, -pulled, pulled} {
		path := filepath.Join(t.TempDir(), "iris.mov")
		shot := footage.Shot{Scene: cardOnAWall, Stops: 1, Seed: 5, Frames: 30,
			Iris: footage.IrisPull{Stops: iris, From: 0.3, To: 0.9}}
		c, err := curve.Find("slog3")
		if err != nil {
			t.Fatal(err)
		}
		truth, err := footage.Record(footage.NewCamera(width, height, c, 5), shot, footage.Copy{Path: path,
			Encoding: synth.Encoding{Codec: synth.ProRes422, Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}})
		if err != nil {
			t.Fatal(err)
		}
		job := pictured(path, "")
		job.Settings.Pictures = false
		got, err := Measure(t.Context(), job)
		if err != nil {
			t.Fatal(err)
		}
		a := got.Advice
		t.Logf("iris %+.1f: truth %+.2f, said %+.2f, drift %+.2f: %s", float64(iris), float64(truth.Placement),
			float64(got.Placement.Stops), float64(got.Placement.Drift), a.Summary)
		if iris == 0 {
			if a.Action != advise.Pull || math.Abs(float64(a.Stops-truth.Placement)) > 0.05 {
				t.Errorf("at rest: %s %.2f, want a pull of %.2f", a.Action, float64(a.Stops), float64(truth.Placement))
			}
			continue
		}
		if a.Action != advise.None || !strings.Contains(strings.SplitAfter(a.Summary, ". ")[0], "no single pull or lift") {
			t.Errorf("iris %+.1f: %s, %s", float64(iris), a.Action, a.Summary)
		}
		if got.Placement.Method != placement.Card {
			t.Errorf("iris %+.1f: grey by %s", float64(iris), got.Placement.Method)
		}
	}
}

// cardOnAWall is a grey card before a lighter wall.
func cardOnAWall(w, h int) footage.Scene {
	x, y := float64(w), float64(h)
	wall := synth.NewPanel(geometry.Upright(-x, -y, 3*x, 3*y), synth.Light{0.4, 0.4, 0.4}, 1)
	return footage.Scene{Still: []synth.Part{wall, synth.NewCard(geometry.Upright(x*0.4, y*0.4, x*0.15, y*0.35),
		curve.MidGrey)}}
}
