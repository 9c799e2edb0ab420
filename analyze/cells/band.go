package cells

// HistogramRows: one row in so many is counted in the histogram. Counting costs as much as all
// sums together, and a share of the frame is as well known from every fourth row.
const HistogramRows = 4

// A band is one worker's share of a frame: cell rows from..to. Within a frame of 2^27 samples
// the counts of its histogram fit 32 bits.
type band struct {
	from, to  int
	histogram []uint32
}

// walk goes over one band of a frame, cell row by cell row, and fills the frame's cells. told is called
// after each; it may be nil.
func (b *band) walk(f *Frame, t *Thresholds, told func()) {
	clear(b.histogram)
	for row := b.from; row < b.to; row++ {
		cells := f.Cells[row*f.Grid.Cols : (row+1)*f.Grid.Cols]
		clear(cells)
		top := row * Size
		bottom := min(top+Size, f.Grid.Height)
		for y := top; y < bottom; y += HistogramRows {
			b.tallyUnmasked(f, row, f.Luma.Row(y))
		}
		whole := 0
		if f.Before != nil && bottom-top == Size {
			whole = f.Grid.Width / Size
			for col := range whole {
				cells[col].pair(f.Luma, f.LumaBefore, col*Size, top)
			}
		}
		if whole < len(cells) {
			for y := top; y < bottom; y++ {
				addRow(cells, f.Luma.Row(y), whole)
			}
		}
		countClipped(f, t, row)
		if told != nil {
			told()
		}
	}
}

// tallyUnmasked counts one row of samples in a row of cells, those of masked cells left out.
func (b *band) tallyUnmasked(f *Frame, row int, samples []uint16) {
	if f.Mask == nil {
		b.tally(samples)
		return
	}
	for col := range f.Grid.Cols {
		if !f.Mask[row*f.Grid.Cols+col] {
			b.tally(samples[col*Size : min((col+1)*Size, len(samples))])
		}
	}
}

// tally counts one row of samples.
func (b *band) tally(row []uint16) {
	histogram := b.histogram
	for _, c := range row {
		histogram[c]++
	}
}
