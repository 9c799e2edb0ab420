package analyze

import (
	"slices"

	"stopledger/decode"
)

// HeldBytes bounds the frames that are kept from the scouting until they are walked, so that they are not
// decoded again: four pairs of 1920 x 1080 in 4:2:2. Of larger frames none are kept.
const HeldBytes = 72 << 20

// held are the first frames of groups, as they were scouted.
type held struct {
	wanted []int // groups to keep frames of; nil for none
	groups map[int][]*decode.Frame
}

// keep keeps a frame that was scouted.
func (h *held) keep(f *decode.Frame) {
	if slices.Contains(h.wanted, f.Group) && int64(2*len(h.wanted))*bytesOf(f) <= HeldBytes {
		f.Keep()
		h.groups[f.Group] = append(h.groups[f.Group], f)
	}
}

// bytesOf returns how much memory a frame's samples take.
func bytesOf(f *decode.Frame) (n int64) {
	const sample = 2
	for _, p := range f.Planes {
		n += sample * int64(p.Stride) * int64(p.Height)
	}
	return n
}

// rest returns what is left to be read of a group.
func (h *held) rest(group int, s decode.Span) decode.Span {
	n := len(h.groups[group])
	return decode.Span{First: s.First + n, Count: s.Count - n}
}

// take gives out the frames of a group, in order.
func (h *held) take(group int, visit func(*decode.Frame)) {
	for _, f := range h.groups[group] {
		visit(f)
		f.Release()
	}
	delete(h.groups, group)
}

// drop releases what is still kept.
func (h *held) drop() {
	for group := range h.groups {
		h.take(group, func(*decode.Frame) {})
	}
}
