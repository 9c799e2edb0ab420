package picture

import "stopledger/analyze/still"

// reduced returns the still at most maxWidth pixels wide, means of squares of whole pixels. A still that is
// narrow enough is returned as it is.
func reduced(s *still.Still, maxWidth int) *still.Still {
	n := (s.Width + maxWidth - 1) / maxWidth
	if n <= 1 || s.Height < n {
		return s
	}
	t := still.Mean(s, n)
	t.T, t.X, t.Y = s.T, s.X, s.Y
	return t
}

// boxMean returns the means of w x h squares of n x n values; stride is the length of a row.
func boxMean(values []float32, stride, w, h, n int) []float32 {
	out := make([]float32, w*h)
	for y := range h * n {
		row := values[y*stride : y*stride+w*n]
		sums := out[y/n*w : y/n*w+w]
		for x, v := range row {
			sums[x/n] += v
		}
	}
	for i := range out {
		out[i] /= float32(n * n)
	}
	return out
}

// cropped returns the middle of the still, at most w x h pixels.
func cropped(s *still.Still, w, h int) *still.Still {
	w, h = min(w, s.Width), min(h, s.Height)
	x0, y0 := (s.Width-w)/2, (s.Height-h)/2
	t := &still.Still{
		Width: w, Height: h, T: s.T, Scale: s.Scale,
		X: s.X + int(float64(x0)*s.Scale), Y: s.Y + int(float64(y0)*s.Scale),
	}
	for y := y0; y < y0+h; y++ {
		from, to := y*s.Width+x0, y*s.Width+x0+w
		t.R = append(t.R, s.R[from:to]...)
		t.G = append(t.G, s.G[from:to]...)
		t.B = append(t.B, s.B[from:to]...)
	}
	return t
}
