package analyze

import (
	"cmp"
	"slices"

	"stopledger/decode"
)

// HeldBytes bounds the frames that are kept from the scouting until they are walked, so that they are not
// decoded again: eight pairs of 1920 x 1080 in 4:2:2, of which sampling keeps four. Of larger frames fewer are kept,
// or none.
const HeldBytes = 144 << 20

// held are the first frames of groups, as they were scouted.
type held struct {
	wanted []int           // groups to keep frames of; nil for none
	frames []*decode.Frame // in order
}

// keep keeps a frame that was scouted.
func (h *held) keep(f *decode.Frame) {
	if slices.Contains(h.wanted, f.Group) && int64(2*len(h.wanted))*bytesOf(f) <= HeldBytes && !f.Large() {
		f.Keep()
		at, _ := slices.BinarySearchFunc(h.frames, f.Index, func(g *decode.Frame, index int) int {
			return cmp.Compare(g.Index, index)
		})
		h.frames = slices.Insert(h.frames, at, f)
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

// numbers returns which frames are kept.
func (h *held) numbers() []int {
	all := make([]int, len(h.frames))
	for i, f := range h.frames {
		all[i] = f.Index
	}
	return all
}

// rest returns what is left to be read of a group, whose first frames are kept.
func (h *held) rest(group int, s decode.Span) decode.Span {
	for _, f := range h.frames {
		if f.Group == group {
			s.First, s.Count = s.First+1, s.Count-1
		}
	}
	return s
}

// take gives out the frames of a group, in order.
func (h *held) take(group int, visit func(*decode.Frame)) {
	h.release(func(f *decode.Frame) bool { return f.Group == group }, visit)
}

// takeBefore gives out the frames before a number, in order, and drops that of the number itself.
func (h *held) takeBefore(number int, visit func(*decode.Frame)) {
	h.release(func(f *decode.Frame) bool { return f.Index < number }, visit)
	h.release(func(f *decode.Frame) bool { return f.Index == number }, func(*decode.Frame) {})
}

// drop releases what is still kept.
func (h *held) drop() {
	h.release(func(*decode.Frame) bool { return true }, func(*decode.Frame) {})
}

// release gives out some frames and no longer keeps them.
func (h *held) release(which func(*decode.Frame) bool, visit func(*decode.Frame)) {
	h.frames = slices.DeleteFunc(h.frames, func(f *decode.Frame) bool {
		if !which(f) {
			return false
		}
		visit(f)
		f.Release()
		return true
	})
}
