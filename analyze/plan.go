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

// A schedule says which frames are measured.
type schedule struct {
	decode.ReadOptions
	closerEach int // one group in so many gets a closer look
}

// scheduleOf returns the schedule for a clip of so many frames, 0 where that is not known.
func scheduleOf(frames int, every bool) schedule {
	if !every && frames > 0 {
		spans := decode.Groups(frames, groupsMeasured, framesPerGroup)
		return schedule{decode.ReadOptions{Spans: spans}, upward(len(spans), closerGroups)}
	}
	if frames <= 0 {
		frames = unknownFrames
	}
	chunk := max(leastChunk, upward(frames, everyGroups))
	closer := closerGroups
	if every {
		closer = closerGroupsEvery
	}
	return schedule{decode.ReadOptions{Chunk: chunk}, upward(upward(frames, chunk), closer)}
}

// inTurn are the groups of a sampled clip in the order in which they are measured, in parts after each of
// which that may be enough: each part lies in the widest gaps that those before it leave. The first are
// those that get a closer look.
var inTurn = [][]int{{0, 3, 6, 9}, {11}, {5}, {2, 8}, {1, 4, 7, 10}}

// parts returns which spans are to be read at a time, in order, where the clip may be measured in part.
func (p schedule) parts() [][]int {
	if len(p.Spans) == groupsMeasured {
		return inTurn
	}
	return nil
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

// scouted returns the frames to scout: the first two of each group that sampling measures, whether
// every frame is measured or not, so that both find the same.
func scouted(frames int) []decode.Span {
	spans := decode.Groups(max(frames, 2), groupsMeasured, framesPerGroup)
	for i := range spans {
		spans[i].Count = min(spans[i].Count, 2)
	}
	return spans
}
