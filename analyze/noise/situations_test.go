package noise_test

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"stopledger/analyze/noise"
	"stopledger/curve"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
)

// A situation is what disturbs the noise of a scene, and what is to be said.
type situation struct {
	name     string
	set      func(*footage.Trial)
	causes   []noise.Cause // that may be said; nil for none
	seen     visibility    // where one of them has to be said
	everyday bool
}

// A visibility says where a cause has to be seen. Lossy coding may take the signs of it along with the noise,
// and a plain wall does not show movement; then no other cause may be said either.
type visibility int

const (
	never    visibility = iota // it may be too little
	textured                   // in lossless recordings of scenes with texture
	lossless                   // in lossless recordings
	always
)

func move(m footage.Motion) func(*footage.Trial) {
	return func(t *footage.Trial) { t.Shot.Motion = m }
}

func reduce(temporal, spatial float64) func(*footage.Trial) {
	return func(t *footage.Trial) { t.Camera.Temporal, t.Camera.Spatial = temporal, spatial }
}

// within adds what moves by itself to the scene.
func within(parts func(w, h float64) []synth.Part) func(*footage.Trial) {
	return func(t *footage.Trial) {
		scene := t.Shot.Scene
		t.Shot.Scene = func(width, height int) footage.Scene {
			s := scene(width, height)
			s.Moving = append(s.Moving, parts(float64(width), float64(height))...)
			return s
		}
	}
}

// leaves sway over the upper half of the frame, each bough on its own path.
func leaves(w, h float64) (parts []synth.Part) {
	for i := range 6 {
		x := w * float64(i) / 6
		rate, phase := 3+0.7*float64(i), 1.3*float64(i)
		parts = append(parts, synth.Moving{
			Part: footage.NewShapes(x, 0.05*h, w/8, h*(0.2+0.05*float64(i)), max(h/180, 2), h/12, uint64(i)),
			Path: func(t float64) (dx, dy float64) {
				return 0.008 * h * math.Sin(rate*t+phase), 0.005 * h * math.Sin(1.3*rate*t+phase)
			},
		})
	}
	return parts
}

// walkers cross the frame, two near and one further off.
func walkers(w, h float64) (parts []synth.Part) {
	for i, x := range []float64{0.2, 0.5, 0.85} {
		parts = append(parts, synth.Figure{X: x * w, Y: 0.95 * h, Height: h * (0.7 - 0.15*float64(i)),
			Coat: synth.Light{0.3, 0.1, 0.05}, Trousers: synth.Light{0.03, 0.04, 0.05}, Skin: synth.Light{0.4, 0.28, 0.2},
			Steps: 1.8, Path: synth.Steadily(0.25*h*(1-2*float64(i%2)), 0), Soft: 2})
	}
	return parts
}

func both(a, b func(*footage.Trial)) func(*footage.Trial) {
	return func(t *footage.Trial) { a(t); b(t) }
}

var (
	moves   = []noise.Cause{noise.Motion, noise.MotionOrReduction}
	reduced = []noise.Cause{noise.TemporalReduction, noise.MotionOrReduction}
	either  = []noise.Cause{noise.Motion, noise.MotionOrReduction, noise.TemporalReduction}
)

var situations = []situation{
	{"still", func(*footage.Trial) {}, nil, never, false},
	{"pan 0.1", move(footage.Pan(2.5, 0.7)), moves, textured, false},
	{"pan 0.3", move(footage.Pan(7.5, 2.5)), moves, textured, true},
	{"pan 0.6", move(footage.Pan(15, 2.5)), moves, textured, false},
	{"handheld 1", move(footage.Handheld(1, 1)), moves, textured, false},
	{"handheld 3", move(footage.Handheld(3, 1)), moves, textured, false},
	{"handheld 10", move(footage.Handheld(10, 1)), moves, textured, false},
	{"breathing", move(footage.Breathing(0.01, 2)), moves, textured, false},
	{"leaves", within(leaves), moves, never, false},
	{"walkers", within(walkers), moves, never, false},
	{"frames repeat", func(t *footage.Trial) { t.Shot.Repeat = 5 }, []noise.Cause{noise.FramesRepeated}, always, false},
	{"interlaced pan", both(move(footage.Pan(25, 0)), func(t *footage.Trial) { t.Shot.Fields = true }),
		append(moves, noise.InterlacedMotion), textured, false},
	{"temporal 0.15", reduce(0.15, 0), reduced, lossless, false},
	{"temporal 0.3", reduce(0.3, 0), reduced, lossless, true},
	{"temporal 0.5", reduce(0.5, 0), reduced, lossless, false},
	{"temporal 0.8", reduce(0.8, 0), reduced, lossless, false},
	{"handheld, temporal 0.3", both(move(footage.Handheld(3, 1)), reduce(0.3, 0)), either, lossless, false},
	{"handheld, temporal 0.5", both(move(footage.Handheld(3, 1)), reduce(0.5, 0)), either, lossless, false},
	{"spatial 0.6", reduce(0, 0.6), []noise.Cause{noise.SpatialReduction}, lossless, false},
}

// TestSituations: no cause is named but the right one, and no figure told that is not: floor and the
// camera's SNR hold the truth before the codec, and in lossless recordings the tones do. Every day it is two
// situations of one scene without loss, with STOPLEDGER_FULL all of three scenes through four codecs.
func TestSituations(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	seeds, codecs := []uint64{7}, cameraCodecs()[:1]
	if full() {
		seeds, codecs = []uint64{firstClaimed + 2, firstClaimed + 5, firstClaimed + 9}, cameraCodecs()
	}
	for _, s := range situations {
		if !s.everyday && !full() {
			continue
		}
		for _, seed := range seeds {
			trial := footage.NewTrial(seed, 384, 216, sLog3(t))
			trial.Shot.Frames = 16
			s.set(&trial)
			paths, truth := record(t, trial, codecs)
			for _, path := range paths {
				s.check(t, path, trial.Kind, truth)
			}
		}
	}
}

// sure is how well truth is known: from flat fields of a limited number of pixels and frames.
const sure = 0.3 // dB

func (s situation) check(t *testing.T, path, kind string, truth footage.Truth) {
	n, _, _ := measureFile(t, path)
	name := fmt.Sprintf("%s, %s (%s)", s.name, kind, filepath.Base(path))
	t.Logf("%s: %v, floor %.2f (%.2f..%.2f %s), true %.2f; %s%s", name, n.Causes,
		n.Floor, n.FloorLow, n.FloorHigh, n.FloorBound, truth.Floor, n.Reason, n.Unmeasured)
	for _, cause := range n.Causes {
		if !slices.Contains(s.causes, cause) {
			t.Errorf("%s: %s is said, not one of %v", name, cause, s.causes)
		}
	}
	clean := n.Coding.Origin == noise.Lossless || filepath.Ext(path) == ".mkv"
	if len(n.Causes) == 0 && (s.seen == always || clean && (s.seen == lossless || s.seen == textured && kind != "wall")) {
		t.Errorf("%s: no cause is said, want one of %v", name, s.causes)
	}
	if curve.Finite(n.FloorHigh) && (truth.Floor > n.FloorHigh || n.FloorBound == "" && truth.Floor < n.FloorLow) {
		t.Errorf("%s: floor %.2f..%.2f, true %.2f", name, n.FloorLow, n.FloorHigh, truth.Floor)
	}
	for _, tone := range n.Tones {
		want := truth.At(tone.Recorded)
		if clean && curve.Finite(want) && curve.Finite(tone.SNR) && (want < tone.Low-sure || want > tone.High+sure) {
			t.Errorf("%s: %.1f..%.1f dB at %+.2f stops, true %.1f", name, tone.Low, tone.High, tone.Recorded, want)
		}
		e := n.CameraSNR(tone.Recorded)
		if curve.Finite(want) && curve.Finite(e.Value) && (want < e.Low-sure || want > e.High+sure) {
			t.Errorf("%s: the camera's %.1f..%.1f dB at %+.2f stops, true %.1f", name, e.Low, e.High, tone.Recorded, want)
		}
	}
}
