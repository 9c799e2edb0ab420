package still

import (
	"math"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
)

// Bins of a waveform.
const (
	waveColumns               = 480
	waveFirst   curve.Percent = -8
	waveStep    curve.Percent = 0.5
	waveLevels                = 240
)

func newWaveform(width int) *Waveform {
	w := &Waveform{Columns: min(waveColumns, width), Levels: waveLevels, First: waveFirst, Step: waveStep}
	w.Counts = make([]uint32, w.Columns*w.Levels)
	return w
}

// bin is the nearest level of a percent.
func (w *Waveform) bin(p curve.Percent) int {
	return min(max(int(math.Floor(float64((p-w.First)/w.Step))), 0), w.Levels-1)
}

// Waveform counts a frame's luma by column and percent. What lies beyond the levels counts to the
// nearest.
func (c *Camera) Waveform(f *decode.Frame) *Waveform {
	plane := cells.Luma(f, c.matrix)
	w := newWaveform(plane.Width)
	level, column := c.bins(w), w.columns(plane.Width, 1)
	for y := range plane.Height {
		for x, code := range plane.Row(y) {
			w.Counts[level[code]+column[x]]++
		}
	}
	return w
}

// bins are the first counts of the levels of a waveform by file code.
func (c *Camera) bins(w *Waveform) []int {
	first := make([]int, len(c.table.Light))
	for code := range first {
		first[code] = w.bin(c.table.Reading.Percent(curve.FileCode(code))) * w.Columns
	}
	return first
}

// columns are the columns of every so many pixels across a frame.
func (w *Waveform) columns(width, every int) []int {
	var columns []int
	for x := 0; x < width; x += every {
		columns = append(columns, x*w.Columns/width)
	}
	return columns
}

// channels counts a frame's R', G' and B' as Waveform does luma, once for each sample of chroma; nil without colour.
func (c *Camera) channels(f *decode.Frame) []*Waveform {
	if f.Layout == decode.Gray {
		return nil
	}
	across, down := 1, 1 // pixels to a sample of chroma
	if f.Layout == decode.YCbCr {
		across, down = f.SubX(), f.SubY()
	}
	p := c.wholeOf(f)
	width, height, _ := p.Size()
	of := []*Waveform{newWaveform(width), newWaveform(width), newWaveform(width)}
	level, column := c.bins(of[0]), of[0].columns(width, across)
	top := curve.FileCode(len(level) - 1)
	for y := 0; y < height; y += down {
		p.read(y)
		for k, w := range of {
			codes := p.codes[k]
			for i, column := range column {
				code := min(max(codes[i*across]+0.5, 0), top)
				w.Counts[level[int(code)]+column]++
			}
		}
	}
	return of
}
