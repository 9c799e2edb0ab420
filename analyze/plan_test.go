package analyze

import (
	"math/rand/v2"
	"slices"
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
		p := scheduleOf(groupsOf(tc.frames), tc.frames, tc.every, false)
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
		all := groupsOf(tc.frames)
		if len(all) != tc.want || all[0].scouted.Count != 2 {
			t.Errorf("%d frames: %v, want %d pairs", tc.frames, all, tc.want)
		}
	}
}

// keyAt is a clip with key frames so many frames apart.
type keyAt int

func (k keyAt) KeyFrame(frame int) (int, bool) { return frame / int(k) * int(k), frame >= 0 }

// unkeyed is a clip that tells nothing of key frames.
type unkeyed struct{}

func (unkeyed) KeyFrame(int) (int, bool) { return 0, false }

// TestGroupsAtKeyFrames: groups of clips of any length with key frames at any distance are as many and as long
// as they are spaced evenly, in order, none beyond the place of the next; pairs are scouted in them. Where there is
// a key frame for each, all begin near one, and one of four before its own.
func TestGroupsAtKeyFrames(t *testing.T) {
	const seed = 3
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 3000 {
		frames, gop := 1+rng.IntN(3000), 1+rng.IntN(300)
		even, all := groupsOf(frames), groupsOf(frames)
		atKeys(all, frames, keyAt(gop))
		end, near, before := 0, 0, 0
		for i, g := range all {
			to := max(frames, 2)
			if i+1 < len(all) {
				to = even[i+1].measured.First + even[i+1].measured.Count
			}
			m, s := g.measured, g.scouted
			if m.First < end || m.First+m.Count > to || m.Count != even[i].measured.Count || s.Count != even[i].scouted.Count ||
				s.First < m.First || s.First+s.Count > m.First+m.Count {
				t.Fatalf("seed %d: %d frames, keys each %d: group %d is %+v, evenly %+v", seed, frames, gop, i, g, even[i])
			}
			end = m.First + m.Count
			if m.First%gop < 4 {
				near++
			}
			if m.First%gop == gop-2 {
				before++
			}
		}
		if len(all) == groupsMeasured && frames >= 2*gop*groupsMeasured && gop > 8 && (near != 9 || before != 3) {
			t.Errorf("seed %d: %d frames, keys each %d: %d at, %d before: %v", seed, frames, gop, near, before, all)
		}
		atKeys(even, frames, unkeyed{})
		if !slices.Equal(even, groupsOf(frames)) {
			t.Errorf("seed %d: groups of %d frames are moved to nowhere", seed, frames)
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
