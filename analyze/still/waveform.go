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
	level := c.bins(w)
	for y := range plane.Height {
		for x, code := range plane.Row(y) {
			w.Counts[level[code]*w.Columns+x*w.Columns/plane.Width]++
		}
	}
	return w
}

// bins are the levels of a waveform by file code.
func (c *Camera) bins(w *Waveform) []int {
	level := make([]int, len(c.table.Light))
	for code := range level {
		level[code] = w.bin(c.table.Reading.Percent(curve.FileCode(code)))
	}
	return level
}

// Channels counts a frame's R', G' and B' as Waveform does luma, once for each sample of chroma. A frame
// without colour has none.
func (c *Camera) Channels(f *decode.Frame) []*Waveform {
	if f.Layout == decode.Gray {
		return nil
	}
	width, height, across, down := f.Planes[0].Width, f.Planes[0].Height, 1, 1
	if f.Layout != decode.RGB {
		across, down = f.SubX(), f.SubY()
	}
	all := []*Waveform{newWaveform(width), newWaveform(width), newWaveform(width)}
	level := c.bins(all[0])
	for y := 0; y < height; y += down {
		for x := 0; x < width; x += across {
			_, rgb := c.pixel(f, x, y)
			for k, w := range all {
				code := min(max(int(rgb[k]+0.5), 0), len(level)-1)
				w.Counts[level[code]*w.Columns+x*w.Columns/width]++
			}
		}
	}
	return all
}
