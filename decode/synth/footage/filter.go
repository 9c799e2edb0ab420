package footage

import "math"

// blur convolves each plane with a Gaussian of a standard deviation in pixels, cut off at three;
// borders repeat.
func (m *Image) blur(sigma float64) {
	if sigma <= 0 {
		return
	}
	half := int(math.Ceil(3 * sigma))
	kernel := make([]float32, 2*half+1)
	var sum float32
	for i := range kernel {
		d := float64(i-half) / sigma
		kernel[i] = float32(math.Exp(-d * d / 2))
		sum += kernel[i]
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	for c := range m.Planes {
		m.Planes[c] = convolve(m.Planes[c], m.Width, m.Height, kernel)
	}
}

// convolve applies a symmetric kernel across and down.
func convolve(in []float32, width, height int, kernel []float32) []float32 {
	half := len(kernel) / 2
	mid, out := make([]float32, len(in)), make([]float32, len(in))
	rows(height, func(y int) {
		row := in[y*width : (y+1)*width]
		for x := range row {
			var v float32
			for k, w := range kernel {
				v += w * row[min(max(x+k-half, 0), width-1)]
			}
			mid[y*width+x] = v
		}
	})
	rows(height, func(y int) {
		dst := out[y*width : (y+1)*width]
		for k, w := range kernel {
			src := mid[min(max(y+k-half, 0), height-1)*width:]
			for x := range dst {
				dst[x] += w * src[x]
			}
		}
	})
	return out
}

// shrink resamples to a smaller size with a triangle filter as wide as a pixel of the result each
// way: what a camera does that reads more sensor pixels than it records.
func (m *Image) shrink(width, height int) *Image {
	if width == m.Width && height == m.Height {
		return m
	}
	out := NewImage(width, height)
	across, down := weights(width, m.Width), weights(height, m.Height)
	for c := range m.Planes {
		mid := make([]float32, width*m.Height)
		rows(m.Height, func(y int) {
			row := m.Row(c, y)
			for x, w := range across {
				mid[y*width+x] = w.sum(row, 1)
			}
		})
		rows(height, func(y int) {
			dst := out.Row(c, y)
			for x := range dst {
				dst[x] = down[y].sum(mid[x:], width)
			}
		})
	}
	return out
}

// A window is a run of samples with weights that add up to 1.
type window struct {
	from   int
	weight []float32
}

func (w window) sum(in []float32, stride int) (v float32) {
	for i, k := range w.weight {
		v += k * in[(w.from+i)*stride]
	}
	return v
}

func weights(n, of int) []window {
	out := make([]window, n)
	scale := float64(of) / float64(n)
	for i := range out {
		centre := (float64(i)+0.5)*scale - 0.5
		from, to := max(int(math.Ceil(centre-scale)), 0), min(int(math.Floor(centre+scale)), of-1)
		w := window{from: from}
		var sum float32
		for k := from; k <= to; k++ {
			v := float32(1 - math.Abs(float64(k)-centre)/scale)
			w.weight = append(w.weight, v)
			sum += v
		}
		for k := range w.weight {
			w.weight[k] /= sum
		}
		out[i] = w
	}
	return out
}
