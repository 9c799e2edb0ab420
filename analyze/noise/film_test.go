package noise

import (
	"math"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/synth"
)

// Tolerances, with their reasons. The synthetic camera's truth is exact, so that what is left is
// the spread of a finite sample and what an instrument cannot know.
const (
	// sigmaLossless: of a tone's noise, relative. A cell's tone is known to a few hundredths of a
	// stop, over which noise in codes changes by a percent or two.
	sigmaLossless = 0.05
	// floorLossless: stops; half a decibel of sigma where SNR is 1.
	floorLossless = 0.15
	// modelParts: of read and shot noise where both are large enough to tell apart, relative.
	modelParts = 0.10
	// grainShare: of a grain's side, from some ten thousand samples.
	grainShare = 0.05
	// patternShare: of a standing pattern, from four hundred cells; patternRest: of what else is in
	// a cell, which the pattern is told from by its variance.
	patternShare = 0.06
	patternRest  = 0.15
	// channelFull and channelHalved: of a channel's noise, at full and at chroma resolution.
	channelFull   = 0.02
	channelHalved = 0.04
)

// Groups of frames as a clip is sampled in.
const (
	groupsMeasured = 12
	framesPerGroup = 8
	mostLooks      = 4
)

// recordingOf is of a recording in which nothing clips.
func recordingOf(r curve.Reading) Recording {
	none := curve.FileCode(math.Inf(1))
	return Recording{Table: r.Table(), Matrix: curve.BT709, Ceiling: r.Top(),
		Clipped: [3]curve.FileCode{none, none, none}}
}

// spansOf returns the groups in which frames are measured, with the recording told which of them
// get a closer look.
func spansOf(frames int, r *Recording) []decode.Span {
	spans := decode.Groups(frames, groupsMeasured, framesPerGroup)
	r.LookEvery = (len(spans) + mostLooks - 1) / mostLooks
	return spans
}

// gather walks frames in groups into one accumulator.
func gather(frames []*decode.Frame, r Recording, workers int) *Accumulator {
	spans := spansOf(len(frames), &r)
	a := New(r)
	for group, span := range spans {
		walkGroup(frames[span.First:span.First+span.Count], group, r, workers, a.Collect)
	}
	return a
}

// walkGroup walks the frames of one group.
func walkGroup(frames []*decode.Frame, group int, r Recording, workers int, visit func(*cells.Frame)) {
	reading := r.Table.Reading
	w := cells.NewWalker(cells.Walk{Reading: reading, Matrix: r.Matrix, Workers: workers,
		Thresholds: cells.NewThresholds(r.Clipped, reading.Chroma(r.Matrix))}, visit)
	for _, f := range frames {
		g := *f
		g.Group = group
		w.Add(&g)
	}
	w.Finish()
}

func measure(frames []*decode.Frame, r Recording) Result { return gather(frames, r, 2).Result() }

func camera(t testing.TB, name string) synth.Camera {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return synth.Camera{Width: 640, Height: 360, Curve: c, Matrix: curve.BT709, Bits: 10, Sampling: synth.S422,
		Noise: synth.Noise{Read: 0.001, Shot: 0.0002}}
}

// expose measures what the synthetic camera makes of a shot.
func expose(t testing.TB, cam synth.Camera, shot synth.Shot) (Result, synth.Truth) {
	t.Helper()
	planes, truth, err := synth.Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	var frames []*decode.Frame
	for _, p := range planes {
		frames = append(frames, p.Frame())
	}
	return measure(frames, recordingOf(cam.Reading())), truth
}

// mainTone returns the tone of the most cells.
func mainTone(tones []Tone) Tone {
	best := tones[0]
	for _, tone := range tones {
		if tone.Cells > best.Cells {
			best = tone
		}
	}
	return best
}

// nearest returns the tone nearest to a level of light.
func nearest(tones []Tone, light curve.Light) (best Tone) {
	miss := math.Inf(1)
	for _, tone := range tones {
		if d := math.Abs(math.Log(float64(tone.Light / light))); d < miss {
			best, miss = tone, d
		}
	}
	return best
}

// near fails unless got is within a relative tolerance of want.
func near[T, U ~float64](t *testing.T, what string, got T, want U, tolerance float64) {
	t.Helper()
	if !(math.Abs(float64(got)-float64(want)) <= tolerance*math.Abs(float64(want))) {
		t.Errorf("%s: %.9g, want %.9g within %.2g", what, float64(got), float64(want), tolerance)
	}
}
