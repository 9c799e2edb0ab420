package cells

import (
	"sync"

	"stopledger/analyze/internal/aside"
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
// sums. It looks one frame ahead, so that the last frame of a group is known to be that. The callback gets one
// frame at a time, while the next is walked.
type Walker struct {
	walk  Walk
	visit func(*Frame)

	frames [2]Frame // one is visited while the other is walked
	turn   int      // of the two, the one to be walked
	bands  []band
	luma   lumaPlanes
	next   *decode.Frame // added and not yet walked
	first  held          // of the group
	before held

	visiting aside.Task
	passed   []held // no longer needed once the visit is over
}

// held is a frame that is kept, with its luma.
type held struct {
	*decode.Frame
	luma     decode.Plane
	shared   bool // the luma is another's too, who gives it back
	lumaOnly bool // its chroma is no longer needed
}

// giveUpChroma gives up what only the frame's own visit needs, and the next one's if it is a group's first.
func (h *held) giveUpChroma() {
	if h.Frame != nil && !h.lumaOnly {
		h.ReleaseChroma()
		h.lumaOnly = true
	}
}

// giveUp gives up the rest.
func (h *held) giveUp() {
	h.giveUpChroma()
	h.ReleaseLuma()
}

// NewWalker returns a walker that gives each frame to visit. The frames are to be of one size
// and layout.
func NewWalker(w Walk, visit func(*Frame)) *Walker {
	return &Walker{walk: w, visit: visit, luma: lumaPlanes{matrix: w.Matrix}}
}

// Add takes the next frame. It keeps a reference to it, walks the frame added before it and has that visited.
// Besides f, at most four frames are kept; of those over decode.LargeFrame three.
func (w *Walker) Add(f *decode.Frame) {
	f.Keep()
	if w.next != nil {
		w.step(w.next, f.Group != w.next.Group)
	}
	w.next = f
}

// Finish walks the last frame added: nothing follows it, because the clip ends or is damaged. It
// leaves nothing kept, and no visit under way.
func (w *Walker) Finish() {
	if w.next != nil {
		w.step(w.next, true)
		w.next = nil
	}
	w.wait()
}

// Drop releases the frames of a walk that was broken off. After Finish there are none.
func (w *Walker) Drop() {
	w.visiting.End() // of a walk that is broken off, a panic is no news
	if w.next != nil {
		w.next.Release()
		w.next = nil
	}
	w.pass(true)
	w.release()
}

// step walks one frame, whose reference it takes over.
func (w *Walker) step(f *decode.Frame, end bool) {
	if w.bands == nil {
		w.layOut(f)
	}
	v := &w.frames[w.turn]
	w.turn = 1 - w.turn
	now := held{Frame: f, luma: w.luma.of(f)}
	v.Start, v.End = w.first.Frame == nil, end
	if v.Start {
		w.first, now.shared = now, true
		f.Keep()
	}
	v.Frame, v.Luma = f, now.luma
	v.Before, v.LumaBefore = w.before.Frame, w.before.luma
	v.First, v.LumaFirst = w.first.Frame, w.first.luma
	w.sum(v)
	w.wait()
	w.pass(false)
	w.before = now
	if end {
		w.pass(true)
	}
	w.visiting.Run(func() { w.visit(v) })
	if f.Large() {
		w.wait()
	}
}

// wait waits until no frame is visited, and releases what that needed.
func (w *Walker) wait() {
	w.visiting.Wait()
	w.release()
}

// release gives up frames that are no longer needed, and the chroma of those of which luma is. Nothing is visited.
func (w *Walker) release() {
	if w.before.Frame != w.first.Frame {
		w.before.giveUpChroma()
		w.first.giveUpChroma()
	}
	for _, h := range w.passed {
		if !h.shared {
			w.luma.giveBack(h.Frame, h.luma)
		}
		h.giveUp()
	}
	w.passed = w.passed[:0]
}

// pass notes that the frame before is needed by the next visit only, and at a group's end its first frame.
func (w *Walker) pass(group bool) {
	if w.before.Frame != nil {
		w.passed = append(w.passed, w.before)
	}
	w.before = held{}
	if group && w.first.Frame != nil {
		w.passed = append(w.passed, w.first)
		w.first = held{}
	}
}

// layOut makes the cells for frames like f and shares their rows out.
func (w *Walker) layOut(f *decode.Frame) {
	g := GridOf(f)
	codes := w.walk.Reading.Codes()
	for i := range w.frames {
		v := &w.frames[i]
		v.Grid, v.Cells, v.Histogram = g, make([]Cell, g.Cols*g.Rows), make([]uint32, codes)
		v.Mask = w.walk.Mask
	}
	workers := min(max(w.walk.Workers, 1), g.Rows)
	for i := range workers {
		w.bands = append(w.bands, band{g.Rows * i / workers, g.Rows * (i + 1) / workers, make([]uint32, tables*codes)})
	}
}

// sum fills a frame's cells and histogram, all bands at once.
func (w *Walker) sum(f *Frame) {
	var wait sync.WaitGroup
	for i := range w.bands {
		wait.Go(func() { w.bands[i].walk(f, &w.walk.Thresholds, w.walk.Told) })
	}
	wait.Wait()
	clear(f.Histogram)
	for i := range w.bands {
		w.bands[i].addTo(f.Histogram)
	}
}
