// Package pyramid makes a frame's signal smaller, level by level, and finds what is flat in each
// level: the connected components of pixels that change by no more than noise does.
package pyramid

import "math"

// A Level is one level of an image pyramid (P. J. Burt, E. H. Adelson, "The Laplacian pyramid as a
// compact image code", IEEE Transactions on Communications 31, 1983; here with box means, which keep
// a straight edge straight). It holds luma and the two colour differences B'-Y' and R'-Y' on the
// 12-bit scale (file code x 2^(12-bits)), so that R' = Y+V, B' = Y+U.
type Level struct {
	W, H    int     // size, pixels
	Scale   float64 // frame pixels to one of the level
	Quantum float64 // about what one step of the file's chroma code is here, 12-bit scale
	Y       []int16 // luma, row by row
	U, V    []int16 // B'-Y' and R'-Y', row by row
}

// New returns an empty level.
func New(w, h int, scale float64) *Level {
	n := w * h
	samples := make([]int16, 3*n)
	return &Level{W: w, H: h, Scale: scale, Y: samples[:n], U: samples[n : 2*n], V: samples[2*n:]}
}

// SignalScale returns the factor from file codes to a level's.
func SignalScale(bits int) float64 { return math.Exp2(float64(levelBits - bits)) }

// At returns the index of the pixel that holds a place, or of the nearest one in the level.
func (l *Level) At(x, y float64) int {
	return min(max(int(y), 0), l.H-1)*l.W + min(max(int(x), 0), l.W-1)
}

// Half returns the level at half its size.
func (l *Level) Half() *Level {
	o := New(l.W/2, l.H/2, l.Scale*2)
	o.Quantum = l.Quantum / 2 // as noise averages out
	halve(o.Y, l.Y, o.W, o.H, l.W)
	halve(o.U, l.U, o.W, o.H, l.W)
	halve(o.V, l.V, o.W, o.H, l.W)
	return o
}

func halve(out, in []int16, w, h, stride int) {
	for y := range h {
		a := in[2*y*stride : 2*y*stride+2*w]
		b := in[(2*y+1)*stride : (2*y+1)*stride+2*w]
		line := out[y*w : y*w+w]
		for x := range line {
			s := int32(a[2*x]) + int32(a[2*x+1]) + int32(b[2*x]) + int32(b[2*x+1])
			line[x] = int16((s + 2) >> 2)
		}
	}
}
