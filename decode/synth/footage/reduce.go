package footage

import "math"

// Noise reduction works on codes, where noise is nearly as large at all levels. Its widths are in
// 10-bit codes; the strengths are the camera's.
const (
	spatialReach  = 10.0 // neighbours that differ by more are another thing
	temporalReach = 6.0  // a change of the local mean by more is movement
)

// reduce applies the camera's temporal, then its spatial noise reduction.
func (p *process) reduce(m *Image) {
	step := float32(p.cam.Record.Reading().PerCode())
	if k := float32(p.cam.Temporal); k > 0 && p.before != nil {
		for c := range m.Planes {
			recursive(m.Planes[c], p.before.Planes[c], m.Width, m.Height, k, temporalReach*step)
		}
	}
	if k := float32(p.cam.Spatial); k > 0 {
		for c := range m.Planes {
			m.Planes[c] = sigmaFilter(m.Planes[c], m.Width, m.Height, k, spatialReach*step)
		}
	}
}

// recursive mixes the frame before into a plane where the mean of 3 x 3 changed by less than
// reach: motion-adaptive recursive filtering, out = (1-k) x + k before.
func recursive(now, before []float32, width, height int, k, reach float32) {
	change := make([]float32, len(now))
	for i := range now {
		change[i] = now[i] - before[i]
	}
	change = convolve(change, width, height, []float32{1. / 3, 1. / 3, 1. / 3})
	rows(height, func(y int) {
		for i := y * width; i < (y+1)*width; i++ {
			moved := float32(math.Abs(float64(change[i]))) / reach
			now[i] += k * max(1-moved, 0) * (before[i] - now[i])
		}
	})
}

// sigmaFilter mixes each sample with the mean of those of its 3 x 3 neighbours that differ by less
// than reach (Lee, "Digital Image Smoothing and the Sigma Filter", 1983).
func sigmaFilter(in []float32, width, height int, k, reach float32) []float32 {
	out := make([]float32, len(in))
	rows(height, func(y int) {
		for x := range width {
			here := in[y*width+x]
			var sum, n float32
			for dy := max(y-1, 0); dy <= min(y+1, height-1); dy++ {
				for dx := max(x-1, 0); dx <= min(x+1, width-1); dx++ {
					if v := in[dy*width+dx]; v-here < reach && here-v < reach {
						sum += v
						n++
					}
				}
			}
			out[y*width+x] = here + k*(sum/n-here)
		}
	})
	return out
}

// sharpen adds a share of what a 3 x 3 mean takes away (unsharp mask).
func (m *Image) sharpen(amount float64) {
	if amount <= 0 {
		return
	}
	a := float32(amount)
	for c := range m.Planes {
		soft := convolve(m.Planes[c], m.Width, m.Height, []float32{0.25, 0.5, 0.25})
		for i, v := range m.Planes[c] {
			m.Planes[c][i] = v + a*(v-soft[i])
		}
	}
}
