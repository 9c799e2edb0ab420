package analyze_test

import (
	"context"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// A film is a clip in memory.
type film = testframes.Film

// camera records 640 x 360 pixels, 4:2:2 at 10 bits.
func camera(t testing.TB, name string) synth.Camera {
	t.Helper()
	return synth.Camera{Width: 640, Height: 360, Curve: testframes.Curve(t, name), Matrix: curve.BT709, Bits: 10,
		Sampling: synth.S422, Noise: synth.Noise{Read: 0.001, Shot: 0.0002}}
}

// reel makes a clip of made frames at 25 a second.
func reel(k testframes.Kind, frames []*decode.Frame) *film {
	return testframes.Reel(frames, k.Name, "rawvideo")
}

// settledOf reads a film as it was recorded.
func settledOf(cam synth.Camera) metadata.Settled {
	return metadata.Settled{Reading: cam.Reading(), Matrix: cam.Matrix}
}

// settings look for a card of 18 %, with two workers.
func settings() analyze.Settings {
	return analyze.Settings{GreyFrom: placement.GreyFrom{Reflectance: 0.18}, Threads: 2}
}

// sceneGrey takes the scene's average for grey, which is the fastest.
func sceneGrey() analyze.Settings {
	set := settings()
	set.Grey = placement.Scene
	return set
}

// at takes grey from areas of 18 %.
func at(areas ...geometry.Rect) analyze.Settings {
	set := settings()
	for _, area := range areas {
		set.Regions = append(set.Regions, placement.Patch{Region: area, Reflectance: 0.18})
	}
	return set
}

// measure runs the whole measurement.
func measure(t testing.TB, f analyze.Source, how metadata.Settled, set analyze.Settings) *analyze.Result {
	t.Helper()
	r, err := analyze.Clip(context.Background(), f, how, set, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// shoot exposes a film and measures it as it was recorded.
func shoot(t testing.TB, cam synth.Camera, shot synth.Shot, set analyze.Settings) (*analyze.Result, *film) {
	t.Helper()
	f := testframes.Expose(t, cam, shot)
	return measure(t, f, settledOf(cam), set), f
}
