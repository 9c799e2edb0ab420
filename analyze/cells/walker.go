package cells

import (
	"sync"

	"stopledger/curve"
	"stopledger/decode"
)

// A Walk says how frames are walked.
type Walk struct {
	Reading    curve.Reading // how many codes there are
	Matrix     curve.Matrix  // that makes luma of R', G' and B'
	Thresholds Thresholds    // from which codes on samples count as clipped
	Mask       Mask          // cells that hold no light: they are not in the histogram
	Workers    int           // how many share a frame's rows; at least one does
	Told       func()        // called after each row of cells, by several goroutines; nil for nobody
}

// A Walker goes over frames, group by group and in order, and hands each to a callback with its
// sums. It looks one frame ahead, so that the last frame of a group is known to be that.
type Walker struct {
	walk  Walk
	visit func(*Frame)

	frame  Frame
	bands  []band
	luma   lumaPlanes
	next   *decode.Frame // added and not yet walked
	first  held          // of the group
	before held
}

// held is a frame that is kept, with its luma.
type held struct {
	*decode.Frame
	luma decode.Plane
}

// NewWalker returns a walker that gives each frame to visit. The frames are to be of one size
// and layout.
func NewWalker(w Walk, visit func(*Frame)) *Walker {
	return &Walker{walk: w, visit: visit, luma: lumaPlanes{matrix: w.Matrix}}
}

// Add takes the next frame. It keeps a reference to it, walks the frame added before it and
// gives that to the callback. Besides f, at most three frames are kept.
func (w *Walker) Add(f *decode.Frame) {
	f.Keep()
	if w.next != nil {
		w.step(w.next, f.Group != w.next.Group)
	}
	w.next = f
}

// Finish walks the last frame added: nothing follows it, because the clip ends or is damaged. It
// leaves nothing kept.
func (w *Walker) Finish() {
	if w.next != nil {
		w.step(w.next, true)
		w.next = nil
	}
}

// Drop releases the frames of a walk that was broken off. After Finish there are none.
func (w *Walker) Drop() {
	if w.next != nil {
		w.next.Release()
		w.next = nil
	}
	w.endGroup()
}

// step walks one frame, whose reference it takes over.
func (w *Walker) step(f *decode.Frame, end bool) {
	if w.frame.Cells == nil {
		w.layOut(f)
	}
	start := w.first.Frame == nil
	now := held{f, w.luma.of(f)}
	if start {
		w.first = now
		f.Keep()
	}
	v := &w.frame
	v.Frame, v.Luma, v.Start, v.End = f, now.luma, start, end
	v.Before, v.LumaBefore = w.before.Frame, w.before.luma
	v.First, v.LumaFirst = w.first.Frame, w.first.luma
	w.sum()
	w.visit(v)
	w.dropBefore()
	w.before = now
	if end {
		w.endGroup()
	}
}

// layOut makes the cells for frames like f and shares their rows out.
func (w *Walker) layOut(f *decode.Frame) {
	g := GridOf(f)
	codes := w.walk.Reading.Codes()
	w.frame.Grid, w.frame.Cells, w.frame.Histogram = g, make([]Cell, g.Cols*g.Rows), make([]uint32, codes)
	w.frame.Mask = w.walk.Mask
	workers := min(max(w.walk.Workers, 1), g.Rows)
	for i := range workers {
		w.bands = append(w.bands, band{g.Rows * i / workers, g.Rows * (i + 1) / workers, make([]uint32, tables*codes)})
	}
}

// sum fills the frame's cells and histogram, all bands at once.
func (w *Walker) sum() {
	var wait sync.WaitGroup
	for i := range w.bands {
		wait.Go(func() { w.bands[i].walk(&w.frame, &w.walk.Thresholds, w.walk.Told) })
	}
	wait.Wait()
	clear(w.frame.Histogram)
	for i := range w.bands {
		w.bands[i].addTo(w.frame.Histogram)
	}
}

// dropBefore releases the frame before. Its luma stays where it is that of the group's first.
func (w *Walker) dropBefore() {
	if w.before.Frame == nil {
		return
	}
	if w.before.Frame != w.first.Frame {
		w.luma.giveBack(w.before.Frame, w.before.luma)
	}
	w.before.Release()
	w.before = held{}
}

// endGroup releases what is kept of a group.
func (w *Walker) endGroup() {
	w.dropBefore()
	if w.first.Frame != nil {
		w.luma.giveBack(w.first.Frame, w.first.luma)
		w.first.Release()
		w.first = held{}
	}
}
