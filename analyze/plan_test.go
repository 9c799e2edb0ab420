package analyze

import (
	"testing"

	"stopledger/decode"
)

// TestPlan: clips are measured in at most twelve groups of eight frames, or whole in at most 48
// groups of twelve frames and more; about four groups get a closer look, two where every frame is
// measured.
func TestPlan(t *testing.T) {
	for _, tc := range []struct {
		name                 string
		frames               int
		every                bool
		groups, chunk, looks int
	}{
		{"a long clip", 3000, false, 12, 0, 4}, {"a short clip", 24, false, 3, 0, 3}, {"one frame", 1, false, 1, 0, 1},
		{"every frame", 3000, true, 48, 63, 2}, {"every frame of few", 30, true, 3, 12, 2},
		{"a clip that does not say", 0, false, 48, 48, 4}, {"every frame of it", 0, true, 48, 48, 2},
	} {
		p := scheduleOf(tc.frames, tc.every)
		groups := len(p.Spans)
		if p.Spans == nil {
			frames := tc.frames
			if frames == 0 {
				frames = unknownFrames
			}
			groups = upward(frames, p.Chunk)
		}
		if groups != tc.groups || p.Chunk != tc.chunk || upward(groups, p.closerEach) != tc.looks {
			t.Errorf("%s: %d groups, chunks of %d, a look each %d, want %d, %d, %d looks",
				tc.name, groups, p.Chunk, p.closerEach, tc.groups, tc.chunk, tc.looks)
		}
	}
}

// TestScouted: two frames of each group that sampling measures are scouted, whichever frames are
// measured; a clip that does not say how long it is begins somewhere.
func TestScouted(t *testing.T) {
	for _, tc := range []struct{ frames, want int }{{3000, 12}, {24, 3}, {1, 1}, {0, 1}} {
		spans := scouted(tc.frames)
		if len(spans) != tc.want || spans[0].Count != 2 {
			t.Errorf("%d frames: %v, want %d pairs", tc.frames, spans, tc.want)
		}
	}
}

// TestLossyCodecs: what a codec that is not listed does to noise is not known.
func TestLossyCodecs(t *testing.T) {
	for codec, want := range map[string]bool{"ffv1": false, "v210": false, "dpx": false,
		"prores": true, "hevc": true, "": true, "something new": true} {
		if got := lossy(decode.Info{Codec: codec}); got != want {
			t.Errorf("%q is lossy: %v", codec, got)
		}
	}
}
