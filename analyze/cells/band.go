package cells

import "fmt"

// A band is one worker's share of a frame: cell rows from..to. Within a frame of 2^27 samples
// the counts of its histogram fit 32 bits.
type band struct {
	from, to int
	counts   []uint32 // of its histogram, so many tables of each code
}

// walk goes over one band of a frame, cell row by cell row, and fills the frame's cells. told is called
// after each; it may be nil. A sample that exceeds the codes there are makes it panic.
func (b *band) walk(f *Frame, t *Thresholds, told func()) {
	clear(b.counts)
	clear(f.Cells[b.from*f.Grid.Cols : b.to*f.Grid.Cols])
	for row := b.from; row < b.to; row++ {
		if highest := sumCells(f, row); highest >= len(b.counts)/tables {
			panic(fmt.Sprintf("cells: of %d codes a sample has code %d or more", len(b.counts)/tables, len(b.counts)/tables))
		}
		tally(f, row, b.counts)
		if t.any() {
			countClipped(f, t, row)
		}
		if told != nil {
			told()
		}
	}
}

// addTo adds the band's counts to a histogram.
func (b *band) addTo(histogram []uint32) {
	for i, n := range b.counts {
		histogram[i/tables] += n
	}
}
