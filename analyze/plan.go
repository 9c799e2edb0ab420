package analyze

import "stopledger/decode"

// Which frames are measured unless every frame is asked for: enough groups to see a clip change,
// enough consecutive frames in each to see noise, flicker and what a codec carries over.
const (
	groupsMeasured = 12
	framesPerGroup = 8
	// everyGroups and leastChunk cut a clip into groups where every frame is measured.
	everyGroups = 48
	leastChunk  = 12
	// unknownFrames is how long a clip is taken for that does not say: a minute or two.
	unknownFrames = 48 * 48
	// closerGroups bounds the groups whose noise gets a closer look; where every frame is measured
	// there are fewer, because more of the time goes into the walk, which says more.
	closerGroups      = 4
	closerGroupsEvery = 2
)

// A group is a run of frames that sampling measures, and the pair of them that is scouted.
type group struct{ measured, scouted decode.Span }

// groupsOf returns the groups of a clip of so many frames, evenly spaced, with their first pairs scouted.
func groupsOf(frames int) []group {
	var all []group
	for _, s := range decode.Groups(max(frames, 2), groupsMeasured, framesPerGroup) {
		all = append(all, group{s, decode.Span{First: s.First, Count: min(s.Count, 2)}})
	}
	return all
}

// A keyed clip tells the last key frame at or before a frame, from which it can be decoded; ok is false where
// that is not known.
type keyed interface {
	KeyFrame(frame int) (at int, ok bool)
}

// fromTheKey are where groups begin, in turn, counted from their key frame: the frame right after it is often
// a copy of it, and all noise that coding carries over is renewed in it, which some groups are to show.
var fromTheKey = [4]int{2, 3, 2, -2}

// scoutedFrom is where pairs are scouted at the earliest, counted so. A few frames are decoded for them.
const scoutedFrom = 2

// atKeys moves groups of a clip of so many frames to key frames, none as far as the next one's place: to that
// before its own, or else to one after. A group that has none there stays where it is.
func atKeys(all []group, frames int, clip keyed) {
	if len(all) < groupsMeasured {
		return // it is read whole
	}
	from := 0
	for i := range all {
		g, to := &all[i].measured, frames
		if i+1 < len(all) {
			to = all[i+1].measured.First
		}
		after := fromTheKey[i%len(fromTheKey)]
		for _, place := range []int{g.First, to - g.Count} {
			if key, ok := clip.KeyFrame(place - after); ok && key+after >= from {
				g.First, all[i].scouted.First = key+after, key+max(after, scoutedFrom)
				break
			}
		}
		from = g.First + g.Count
	}
}

// A schedule says which frames are measured.
type schedule struct {
	decode.ReadOptions
	closerEach int     // one group in so many gets a closer look
	parts      [][]int // which groups are read at a time where the clip may be measured in part; nil where not
}

// scheduleOf returns the schedule for a clip of so many frames, 0 where that is not known, in which sampling
// measures these groups.
func scheduleOf(all []group, frames int, every, longGOP bool) schedule {
	if !every && frames > 0 {
		p := schedule{closerEach: upward(len(all), closerGroups)}
		for _, g := range all {
			p.Spans = append(p.Spans, g.measured)
		}
		if len(all) == groupsMeasured {
			p.parts = inTurn(longGOP)
		}
		return p
	}
	if frames <= 0 {
		frames = unknownFrames
	}
	chunk := max(leastChunk, upward(frames, everyGroups))
	closer := closerGroups
	if every {
		closer = closerGroupsEvery
	}
	return schedule{ReadOptions: decode.ReadOptions{Chunk: chunk}, closerEach: upward(upward(frames, chunk), closer)}
}

// inTurn returns the groups of a sampled clip in the order in which they are measured, in parts after each
// of which that may be enough: each part lies in the widest gaps that those before it leave. The first are
// those that get a closer look. The noise of long-GOP coding is often hidden, which few groups tell; one of
// the first two begins before its key frame.
func inTurn(longGOP bool) [][]int {
	if longGOP {
		return [][]int{{3, 9}, {6}, {0}, {11}, {5}, {2, 8}, {1, 4, 7, 10}}
	}
	return [][]int{{0, 3, 6, 9}, {11}, {5}, {2, 8}, {1, 4, 7, 10}}
}

// scoutedInTurn returns which of the groups are scouted at a time, in order: first those that are walked first,
// and as many between that no two neighbours are left out, so that what lasts for a sixth of the clip is seen.
func scoutedInTurn(groups int) [][]int {
	if groups == groupsMeasured {
		return [][]int{{0, 2, 3, 5, 6, 8, 9, 11}, {1, 4, 7, 10}}
	}
	all := make([]int, groups)
	for i := range all {
		all[i] = i
	}
	return [][]int{all}
}

// upward divides and rounds up, to 1 at least.
func upward(n, by int) int { return max((n+by-1)/by, 1) }
