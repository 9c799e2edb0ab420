package analyze

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
)

// countingReel counts the frames that are read.
type countingReel struct {
	groupReel
	read int
}

func (c *countingReel) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	return c.groupReel.Read(ctx, opt, func(f *decode.Frame) error {
		c.read++
		return visit(f)
	})
}

// TestKeptFramesAreNotReadAgain: frames that were scouted and kept are not read again, of clips that are
// measured whole and in groups, and make no other result.
func TestKeptFramesAreNotReadAgain(t *testing.T) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	how := metadata.Settled{Reading: curve.Reading{Curve: c, Bits: 10}, Matrix: curve.BT709}
	for _, tc := range []struct{ frames, kept int }{{5, 0}, {9, 2}, {30, 6}, {60, 8}, {120, 8}} {
		frames := testframes.Make(testframes.Kinds[1], 64, 48, 10, tc.frames, testframes.Contents(10, 3)["grainy"])
		var read [2]int
		var results [2]*Result
		for i := range results {
			clip := &countingReel{groupReel: groupReel{frames: frames}}
			m := &measurement{clip: clip, info: clip.Info(), how: how, table: how.Reading.Table()}
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
			if len(m.held.groups) > 0 && results[i].Groups == groupsMeasured {
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
