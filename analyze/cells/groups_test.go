package cells

import (
	"slices"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// A step is what a frame came with.
type step struct {
	index, before, first int // frame numbers, -1 for none
	start, end           bool
}

// stepsOf walks frames in groups of these lengths and returns what they came with. The luma that
// goes with each is compared with the slow version's.
func stepsOf(t *testing.T, k testframes.Kind, lengths []int, finish bool) (steps []step) {
	t.Helper()
	total := 0
	for _, n := range lengths {
		total += n
	}
	frames := testframes.Make(k, 20, 18, 10, total, testframes.Contents(10, 3)["random"])
	w := NewWalker(Walk{Reading: testframes.Reading(t, 10), Matrix: curve.BT709, Workers: 2}, func(f *Frame) {
		s := step{f.Index, -1, f.First.Index, f.Start, f.End}
		checkLuma(t, f.Frame, f.Luma)
		checkLuma(t, f.First, f.LumaFirst)
		if f.Before != nil {
			s.before = f.Before.Index
			checkLuma(t, f.Before, f.LumaBefore)
		}
		steps = append(steps, s)
	})
	at := 0
	for group, n := range lengths {
		for range n {
			frames[at].Group = group
			w.Add(frames[at])
			at++
		}
	}
	if finish {
		w.Finish()
	}
	w.Drop()
	w.Drop()
	return steps
}

func checkLuma(t *testing.T, f *decode.Frame, luma decode.Plane) {
	t.Helper()
	for y := range luma.Height {
		for x, got := range luma.Row(y) {
			if int64(got) != slowLuma(f, curve.BT709, x, y) {
				t.Fatalf("luma of frame %d at %d,%d is %d, want %d", f.Index, x, y, got, slowLuma(f, curve.BT709, x, y))
			}
		}
	}
}

// TestGroupsHaveEnds: the first and the last frame of each group are marked, the last one also
// where nothing follows it; a group of one frame is both.
func TestGroupsHaveEnds(t *testing.T) {
	for _, k := range testframes.Kinds {
		got := stepsOf(t, k, []int{3, 1, 2}, true)
		want := []step{
			{0, -1, 0, true, false}, {1, 0, 0, false, false}, {2, 1, 0, false, true},
			{3, -1, 3, true, true},
			{4, -1, 4, true, false}, {5, 4, 4, false, true},
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %+v, want %+v", k.Name, got, want)
		}
	}
}

// TestBrokenWalk: a walk that is dropped leaves its last frame out and may be dropped again.
func TestBrokenWalk(t *testing.T) {
	if got := stepsOf(t, testframes.Kinds[3], []int{3}, false); len(got) != 2 || got[1].end {
		t.Errorf("%+v, want two frames and no end", got)
	}
	if got := stepsOf(t, testframes.Kinds[0], nil, true); got != nil {
		t.Errorf("frames %+v of none", got)
	}
}

// TestLumaIsUsedAgain: a walk of R'G'B' frames makes no more luma planes than it keeps frames.
func TestLumaIsUsedAgain(t *testing.T) {
	frames := testframes.Make(testframes.Kinds[3], 32, 32, 10, 20, testframes.Contents(10, 3)["random"])
	planes := map[*uint16]bool{}
	walkAll(Walk{Reading: testframes.Reading(t, 10), Matrix: curve.BT709}, frames, func(f *Frame) {
		planes[&f.Luma.Samples[0]] = true
	})
	// The group's first, the frame that is visited, the one before it and the one that is walked meanwhile.
	if len(planes) != 4 {
		t.Errorf("%d planes made, want 4", len(planes))
	}
}
