package decode

// Groups is the sampling plan: runs of consecutive frames, evenly spaced over a clip of that
// many frames, each in the middle of its share of the clip. At most groups runs of perGroup
// frames are returned, in order; no two overlap and none is empty.
//
// A clip with fewer frames than asked for is read whole: in fewer runs, each of perGroup frames
// or up to twice that, so that no frame is left alone where runs matter. A clip of no frames,
// or a plan of none, gives nil.
func Groups(frames, groups, perGroup int) []Span {
	if frames <= 0 || groups <= 0 || perGroup <= 0 {
		return nil
	}
	if frames/groups < perGroup {
		return whole(frames, max(frames/perGroup, 1))
	}
	spans := make([]Span, groups)
	for i := range spans {
		from, to := share(frames, i, groups), share(frames, i+1, groups)
		spans[i] = Span{First: from + (to-from-perGroup)/2, Count: perGroup}
	}
	return spans
}

// whole cuts all frames into n runs without gaps.
func whole(frames, n int) []Span {
	spans := make([]Span, n)
	for i := range spans {
		from, to := share(frames, i, n), share(frames, i+1, n)
		spans[i] = Span{First: from, Count: to - from}
	}
	return spans
}

// share returns where part i of n begins. It is written so that frames*n cannot overflow.
func share(frames, i, n int) int {
	return frames/n*i + frames%n*i/n
}
