package picture

import (
	"image"
	"image/color"
	"math"

	"stopledger/analyze/still"
)

// A waveform picture spans these video levels from its lower to its upper edge, a little more
// than the 10-bit codes 0 to 1023, whatever the waveform's own bins, so that a page can draw a
// scale beside it.
const (
	WaveformLow   = -8.0  // percent
	WaveformHigh  = 110.0 // percent
	waveformRows  = 354   // three to the percent
	waveformWidth = 640   // columns at most
)

// waveformPicture draws how often each level occurs in each column: the logarithm of the count,
// on the cividis map over near black.
func waveformPicture(w *still.Waveform) *image.Paletted {
	return densityPicture(w, min(w.Columns, waveformWidth))
}

// channelsPicture draws the waveforms of R', G' and B' beside each other, with a gap between them.
func channelsPicture(channels []*still.Waveform) *image.Paletted {
	const gap = 2
	columns := min(channels[0].Columns, (waveformWidth-2*gap)/3)
	img := image.NewPaletted(image.Rect(0, 0, 3*columns+2*gap, waveformRows), waveformPalette())
	for k, w := range channels {
		part := densityPicture(w, columns)
		for y := range waveformRows {
			copy(img.Pix[img.PixOffset(k*(columns+gap), y):], part.Pix[y*part.Stride:][:columns])
		}
	}
	return img
}

func densityPicture(w *still.Waveform, columns int) *image.Paletted {
	density := waveformDensity(w, columns)
	top := 0.0
	for _, d := range density {
		top = math.Max(top, d)
	}
	img := image.NewPaletted(image.Rect(0, 0, columns, waveformRows), waveformPalette())
	for i, d := range density {
		if d > 0 {
			img.Pix[i] = uint8(1 + math.Round(62*math.Log1p(d)/math.Log1p(top)))
		}
	}
	return img
}

// waveformPalette is the ground and 63 steps of density.
func waveformPalette() color.Palette {
	p := color.Palette{color.Gray{0x14}}
	for i := range 63 {
		p = append(p, cividis(0.15+0.85*float64(i)/62))
	}
	return p
}

// waveformDensity resamples the counts to the picture's rows and columns. A bin of levels covers
// the rows whose centres lie in it, so a coarse bin is several rows high and fine ones add up.
func waveformDensity(w *still.Waveform, columns int) []float64 {
	out := make([]float64, waveformRows*columns)
	const perRow = (WaveformHigh - WaveformLow) / waveformRows
	for level := range w.Levels {
		low, step := float64(w.First)+float64(level)*float64(w.Step), float64(w.Step)
		from := int(math.Round((WaveformHigh - low - step) / perRow))
		to := max(int(math.Round((WaveformHigh-low)/perRow)), from+1)
		for y := max(from, 0); y < min(to, waveformRows); y++ {
			for c := range w.Columns {
				out[y*columns+c*columns/w.Columns] += float64(w.Counts[level*w.Columns+c])
			}
		}
	}
	return out
}
