package clipping

import (
	"stopledger/analyze/cells"
	"stopledger/decode"
)

// Text and small marks that are burned in fill no cell, and pile up on one code as clipped light does. Samples
// that stand at video white, neutral and in both frames of a pair, are counted apart: they are light unless an
// overlay is found where they lie.
const (
	videoWhite  = 940  // code of 100 % (Recommendation ITU-R BT.2100-2, table 9)
	whiteWithin = 0.75 // codes of it within which rounding leaves a sample
	whiteCoded  = 4    // the same after lossy coding
)

// whites are the samples at video white of pairs of frames.
type whites struct {
	code, within float32 // file codes
	grid         cells.Grid
	across       int        // samples of a channel to a cell
	down         int        // rows
	byCell       [][]uint32 // of each pair
	histograms   [3]histogram
}

func newWhites(frame *decode.Frame, fileCodes float64, lossy bool) whites {
	w := whites{code: float32(videoWhite * fileCodes), within: float32(whiteWithin * fileCodes),
		grid: cells.GridOf(frame), across: cells.Size, down: cells.Size}
	if lossy {
		w.within = float32(whiteCoded * fileCodes)
	}
	if frame.Layout == decode.YCbCr {
		w.across, w.down = cells.Size/frame.SubX(), cells.Size/frame.SubY()
	}
	for i := range w.histograms {
		w.histograms[i] = newHistogram()
	}
	return w
}

// next begins a pair of frames.
func (w *whites) next() { w.byCell = append(w.byCell, make([]uint32, w.grid.Cols*w.grid.Rows)) }

// add adds the rows of the channels, so many samples wide, from y on, and the same ones of the frame before.
func (w *whites) add(y, width int, rgb, before [3][]float32, fileCodes float64) {
	all := w.byCell[len(w.byCell)-1]
	for at, first := range rgb[0] {
		// Most are told by one channel.
		if d := first - w.code; !(d <= w.within && d >= -w.within) || !w.has(rgb, at) || !w.has(before, at) {
			continue
		}
		all[(y+at/width)/w.down*w.grid.Cols+at%width/w.across]++
		for c := range rgb {
			w.histograms[c].compare(rgb[c][at:at+1], before[c][at:at+1], fileCodes)
		}
	}
}

// has tells whether a sample stands at video white in all channels.
func (w *whites) has(rgb [3][]float32, x int) bool {
	for c := range rgb {
		if d := rgb[c][x] - w.code; !(d <= w.within && d >= -w.within) {
			return false
		}
	}
	return true
}

// merge adds those of another group.
func (w *whites) merge(other *whites) {
	w.byCell = append(w.byCell, other.byCell...)
	for i := range w.histograms {
		w.histograms[i].merge(&other.histograms[i])
	}
}

// covered tells whether an overlay covers any.
func (w *whites) covered(mask cells.Mask) bool {
	for _, byCell := range w.byCell {
		for i, n := range byCell {
			if n > 0 && mask.Has(i) {
				return true
			}
		}
	}
	return false
}
