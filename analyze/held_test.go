package analyze

import (
	"context"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
)

// countingReel counts the frames that are read. Of those that are not needed it gives every one, none or every other.
type countingReel struct {
	groupReel
	read  int
	gives func(n int) bool
}

func (c *countingReel) Independent() bool { return c.gives != nil }

func (c *countingReel) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	note := func(f *decode.Frame) error {
		c.read++
		return visit(f)
	}
	if opt.Spans != nil {
		return c.groupReel.Read(ctx, opt, note)
	}
	for i, frame := range c.frames {
		if at, have := slices.BinarySearch(opt.Have, i); have && !c.gives(at) {
			continue
		}
		f := *frame
		f.Group = i / opt.Chunk
		if err := note(&f); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// TestKeptFramesAreNotReadAgain: frames that were scouted and kept are not read again, of clips that are
// measured whole and in groups, and make no other result.
func TestKeptFramesAreNotReadAgain(t *testing.T) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	how := metadata.Settled{Reading: curve.Reading{Curve: c, Bits: 10}, Matrix: curve.BT709}
	none := func(int) bool { return false }
	for _, tc := range []struct {
		frames, kept int
		every        bool
		gives        func(int) bool
	}{
		{5, 0, false, nil}, {9, 2, false, nil}, {30, 6, false, nil}, {60, 8, false, nil}, {120, 8, false, nil},
		{30, 6, true, none}, {60, 14, true, none}, {120, 16, true, none},
		{120, 0, true, nil},
		{120, 0, true, func(int) bool { return true }}, {120, 8, true, func(n int) bool { return n%2 == 0 }},
	} {
		frames := testframes.Make(testframes.Kinds[1], 64, 48, 10, tc.frames, testframes.Contents(10, 3)["grainy"])
		var read [2]int
		var results [2]*Result
		for i := range results {
			clip := &countingReel{groupReel: groupReel{frames: frames}, gives: tc.gives}
			m := &measurement{clip: clip, info: clip.Info(), how: how, table: how.Reading.Table()}
			m.set.EveryFrame = tc.every
			if err := m.scout(t.Context()); err != nil {
				t.Fatal(err)
			}
			if i == 1 {
				m.held.drop()
			}
			if results[i], err = m.walk(t.Context()); err != nil {
				t.Fatal(err)
			}
			read[i] = clip.read
			if len(m.held.frames) > 0 && (tc.every || results[i].Groups == groupsMeasured) {
				t.Errorf("%d frames: some are kept for nothing", tc.frames)
			}
		}
		if read[1]-read[0] != tc.kept {
			t.Errorf("%d frames: %d are read, %d with none kept, want %d fewer", tc.frames, read[0], read[1], tc.kept)
		}
		if d := cmp.Diff(results[0], results[1], same...); d != "" {
			t.Errorf("%d frames:\n%s", tc.frames, d)
		}
	}
}
