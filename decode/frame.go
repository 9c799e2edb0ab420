package decode

import (
	"sync/atomic"
)

// A Layout says what a frame's planes hold.
type Layout int

// Layouts.
const (
	// YCbCr: planes Y', Cb, Cr; chroma may be subsampled.
	YCbCr Layout = iota
	// RGB: planes R', G', B', all of full size.
	RGB
	// Gray: plane Y' only; the others are empty.
	Gray
)

// A Plane is one component of a frame: samples of the file's own depth in 16 bits.
type Plane struct {
	Samples       []uint16 // rows, Stride apart; what lies between Width and Stride is padding
	Stride        int      // samples from one row to the next
	Width, Height int      // samples
}

// Row returns the samples of row y, Width long.
func (p Plane) Row(y int) []uint16 {
	return p.Samples[y*p.Stride : y*p.Stride+p.Width : y*p.Stride+p.Width]
}

// A Picture is how a frame was coded: 'I', 'P', 'B' or '?'.
type Picture byte

// A Frame is one decoded picture. Its planes are read in place from the decoder's buffers where
// those hold planes of 16-bit words; other samples (8-bit, interleaved, big-endian) are spread
// unchanged into a buffer that is used again for later frames. Either way the planes are valid
// until the last reference is released, and must not be written to. No sample exceeds Bits.
type Frame struct {
	Planes  [3]Plane // by Layout
	Layout  Layout   // what the planes hold
	Bits    int      // of one sample, 8..16
	Group   int      // which Span of the plan it belongs to
	Index   int      // number in display order within the clip, from 0 (see Read)
	Time    float64  // seconds from the clip's first frame; 0 in image sequences of unknown rate
	Picture Picture  // how it was coded

	hold *hold // keeps the memory behind Planes alive
}

// SubX returns how many luma samples share one chroma sample across (1 or 2).
func (f *Frame) SubX() int { return sub(f.Planes[0].Width, f.Planes[1].Width) }

// SubY returns how many luma samples share one chroma sample down (1 or 2).
func (f *Frame) SubY() int { return sub(f.Planes[0].Height, f.Planes[1].Height) }

// Part returns a copy of the w x h pixels of a frame whose upper left corner is (x, y). They lie within it, and all
// four numbers are even. There is nothing to release.
func (f *Frame) Part(x, y, w, h int) *Frame {
	part := *f
	part.hold = nil
	for i, p := range f.Planes {
		if p.Width == 0 {
			continue
		}
		across, down := sub(f.Planes[0].Width, p.Width), sub(f.Planes[0].Height, p.Height)
		to := Plane{Stride: w / across, Width: w / across, Height: h / down}
		to.Samples = make([]uint16, 0, to.Width*to.Height)
		for row := range to.Height {
			to.Samples = append(to.Samples, p.Row(y/down + row)[x/across:][:to.Width]...)
		}
		part.Planes[i] = to
	}
	return &part
}

func sub(luma, chroma int) int {
	if chroma == 0 || chroma == luma {
		return 1
	}
	return 2
}

// A hold counts who still needs the memory behind a frame's planes.
type hold struct {
	all        atomic.Int32 // who needs all planes
	any        atomic.Int32 // who needs some; those who need all count here, too
	free       func()
	freeChroma func() // gives up what is behind all planes but the first; nil where they have no memory of their own
}

func newHold(free, freeChroma func()) *hold {
	h := &hold{free: free, freeChroma: freeChroma}
	h.all.Store(1)
	h.any.Store(1)
	return h
}

// Keep adds a reference: the frame stays valid after visit returns, until Release is called
// once for each Keep. It costs no copy, but each frame kept is memory kept (33 MB for a
// 3840x2160 4:2:2 frame).
func (f *Frame) Keep() {
	if f.hold != nil {
		f.hold.all.Add(1)
		f.hold.any.Add(1)
	}
}

// Release drops a reference. After the last one the planes are empty and their memory is
// gone or used for another frame. Releasing more often than keeping panics.
func (f *Frame) Release() {
	f.ReleaseChroma()
	f.ReleaseLuma()
}

// ReleaseChroma makes a reference one to the first plane alone, of which ReleaseLuma then drops what is left. Once
// nobody needs all planes the others have no samples.
func (f *Frame) ReleaseChroma() {
	if f.hold == nil {
		return
	}
	switch n := f.hold.all.Add(-1); {
	case n == 0 && f.hold.freeChroma != nil:
		for i := range f.Planes[1:] {
			f.Planes[1+i].Samples = nil
		}
		f.hold.freeChroma()
	case n < 0:
		panic("decode: frame released more often than it was kept")
	}
}

// ReleaseLuma drops a reference to the first plane alone.
func (f *Frame) ReleaseLuma() {
	if f.hold != nil && f.hold.any.Add(-1) == 0 {
		f.Planes = [3]Plane{}
		f.hold.free()
	}
}
