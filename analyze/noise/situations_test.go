package noise_test

import (
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
	causes   []noise.Cause // one of which is to be said; nil for none
	measured bool          // a floor may be told, and is then to hold
	everyday bool
}

func move(m footage.Motion) func(*footage.Trial) {
	return func(t *footage.Trial) { t.Shot.Motion = m }
}

func reduce(temporal, spatial float64) func(*footage.Trial) {
	return func(t *footage.Trial) { t.Camera.Temporal, t.Camera.Spatial = temporal, spatial }
}

func both(a, b func(*footage.Trial)) func(*footage.Trial) {
	return func(t *footage.Trial) { a(t); b(t) }
}

var (
	moves   = []noise.Cause{noise.Motion, noise.MotionOrReduction}
	reduced = []noise.Cause{noise.TemporalReduction}
	either  = []noise.Cause{noise.Motion, noise.MotionOrReduction, noise.TemporalReduction}
)

var situations = []situation{
	{"still", func(*footage.Trial) {}, nil, true, false},
	{"pan 0.1", move(footage.Pan(2.5, 0.7)), moves, true, false},
	{"pan 0.3", move(footage.Pan(7.5, 2.5)), moves, true, true},
	{"pan 0.6", move(footage.Pan(15, 2.5)), moves, true, false},
	{"handheld 1", move(footage.Handheld(1, 1)), moves, true, false},
	{"handheld 3", move(footage.Handheld(3, 1)), moves, true, false},
	{"handheld 10", move(footage.Handheld(10, 1)), moves, true, false},
	{"breathing", move(footage.Breathing(0.01, 2)), moves, true, false},
	{"frames repeat", func(t *footage.Trial) { t.Shot.Repeat = 5 }, []noise.Cause{noise.FramesRepeated}, true, false},
	{"interlaced pan", both(move(footage.Pan(25, 0)), func(t *footage.Trial) { t.Shot.Fields = true }),
		append(moves, noise.InterlacedMotion), true, false},
	{"temporal 0.15", reduce(0.15, 0), reduced, false, false},
	{"temporal 0.3", reduce(0.3, 0), reduced, false, true},
	{"temporal 0.5", reduce(0.5, 0), reduced, false, false},
	{"handheld, temporal 0.3", both(move(footage.Handheld(3, 1)), reduce(0.3, 0)), either, true, false},
	{"handheld, temporal 0.5", both(move(footage.Handheld(3, 1)), reduce(0.5, 0)), either, true, false},
	{"spatial 0.6", reduce(0, 0.6), []noise.Cause{noise.SpatialReduction}, true, false},
}

// TestSituations: what disturbs the noise is named rightly, and no floor is told that is not.
func TestSituations(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	seeds := []uint64{7}
	if full() {
		seeds = []uint64{firstClaimed + 2, firstClaimed + 5}
	}
	for _, s := range situations {
		if !s.everyday && !full() {
			continue
		}
		for _, seed := range seeds {
			trial := footage.NewTrial(seed, 384, 216, sLog3(t))
			trial.Shot.Frames = 16
			s.set(&trial)
			path := filepath.Join(t.TempDir(), "shot.mkv")
			truth, err := footage.Record(trial.Camera, trial.Shot,
				footage.Copy{Path: path, Encoding: synth.Encoding{Codec: synth.FFV1}})
			if err != nil {
				t.Fatal(err)
			}
			s.check(t, path, truth)
		}
	}
}

func (s situation) check(t *testing.T, path string, truth footage.Truth) {
	n, _, _ := measureFile(t, path)
	t.Logf("%s (%s): %v, floor %.2f (%.2f..%.2f %s), true %.2f; %s%s", s.name, filepath.Base(path), n.Causes,
		n.Floor, n.FloorLow, n.FloorHigh, n.FloorBound, truth.Floor, n.Reason, n.Unmeasured)
	said := slices.ContainsFunc(n.Causes, func(c noise.Cause) bool { return slices.Contains(s.causes, c) })
	if said != (s.causes != nil) || s.causes == nil && len(n.Causes) > 0 {
		t.Errorf("%s: %v, want one of %v", s.name, n.Causes, s.causes)
	}
	if told := curve.Finite(n.FloorHigh); told && (!s.measured || truth.Floor > n.FloorHigh ||
		n.FloorBound == "" && truth.Floor < n.FloorLow) {
		t.Errorf("%s: floor %.2f..%.2f, true %.2f", s.name, n.FloorLow, n.FloorHigh, truth.Floor)
	}
}
