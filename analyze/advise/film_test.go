package advise_test

import (
	"context"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// Tolerances, with their reasons. The synthetic camera's truth is exact, so that what is left is
// the spread of a finite sample and what an instrument cannot know.
const (
	// placementLossless: stops.
	placementLossless = 0.02
	// snrOfTakes: dB, at scene -4 stops: what tells two exposures apart is a few.
	snrOfTakes = 0.5
	// foundGrey: stops, of a card or chart found in a lit scene, where light falls off over it.
	foundGrey = 0.10
)

// A film is a clip in memory.
type film = testframes.Film

// camera records 256 x 144 pixels, 4:2:0 at 10 bits.
func camera(t testing.TB, name string) synth.Camera {
	t.Helper()
	return synth.Camera{Width: 256, Height: 144, Curve: testframes.Curve(t, name), Matrix: curve.BT709, Bits: 10,
		Sampling: synth.S420, Noise: synth.Noise{Read: 0.001, Shot: 0.0002}}
}

// sceneGrey takes the scene's average for grey, which is the fastest.
func sceneGrey() placement.GreyFrom {
	return placement.GreyFrom{Grey: placement.Scene, Reflectance: 0.18}
}

// judge measures a film as it is read and gives advice on it.
func judge(t testing.TB, f *film, r curve.Reading, grey placement.GreyFrom) (*analyze.Result, advise.Advice) {
	t.Helper()
	how := metadata.Settled{Reading: r, Matrix: curve.BT709}
	m, err := analyze.Clip(context.Background(), f, how, analyze.Settings{GreyFrom: grey, Threads: 2}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m, advise.Advise(advise.Facts{Placement: m.Placement, Noise: &m.Noise, Clipping: &m.Clipping,
		Variation: m.Variation, Levels: &m.Levels, Patches: m.Patches, Reading: r, LossyCodec: m.LossyCodec,
		Interlaced: f.About.Interlaced, Truncated: f.About.Truncated, Lost: m.Lost})
}

// doubtsOf returns the kinds of findings that doubt how a film is read.
func doubtsOf(a advise.Advice) string {
	var ids []string
	for _, f := range a.Findings {
		switch f.ID {
		case advise.RangeDoubt, advise.DepthDoubt, advise.CurveDoubt, advise.Flare, advise.Truncated, advise.Interlaced:
			ids = append(ids, string(f.ID))
		}
	}
	return strings.Join(ids, " ")
}
