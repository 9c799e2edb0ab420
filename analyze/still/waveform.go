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

// channels count a frame's R', G' and B' as Waveform does luma, once for each sample of chroma.
type channels struct {
	of            []*Waveform // nil without colour
	level, column []int
	across, down  int // pixels to a sample of chroma
}

func (c *Camera) newChannels(f *decode.Frame) *channels {
	if f.Layout == decode.Gray {
		return &channels{}
	}
	width := f.Planes[0].Width
	n := &channels{across: 1, down: 1, of: []*Waveform{newWaveform(width), newWaveform(width), newWaveform(width)}}
	if f.Layout == decode.YCbCr {
		n.across, n.down = f.SubX(), f.SubY()
	}
	n.level, n.column = c.bins(n.of[0]), n.of[0].columns(width, n.across)
	return n
}

// add counts a row of R', G' and B'.
func (n *channels) add(y int, rgb [3][]curve.FileCode) {
	if n.of == nil || y%n.down != 0 {
		return
	}
	top := curve.FileCode(len(n.level) - 1)
	for k, w := range n.of {
		codes := rgb[k]
		for i, column := range n.column {
			code := min(max(codes[i*n.across]+0.5, 0), top)
			w.Counts[n.level[int(code)]+column]++
		}
	}
}
