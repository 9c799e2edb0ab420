package match

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A place is how one picture lies in another: a pixel at (x, y) of the first, made scale times as large,
// lies at (x + dx, y + dy) of the second.
type place struct {
	scale       float64
	dx, dy      int
	correlation float64 // of the detail of both where they overlap, -1..1
}

// The size of pictures that are registered, and how much of the smaller one has to lie in the other.
const (
	registerWidth = 128
	detailReach   = 8
	leastOverlap  = 0.3
)

// sameForSure is the correlation from which no other size is tried.
const sameForSure = 0.9

// scales are by how much a picture may be larger than the other: a step of a zoom, another lens.
var scales = []float64{1, 0.94, 1.065, 0.88, 1.135, 0.78, 1.28, 0.67, 1.5}

// register finds how a clip's picture lies in another's by the greatest masked normalised
// cross-correlation of their detail: D. Padfield, "Masked Object Registration in the Fourier Domain",
// IEEE Transactions on Image Processing 21(5), 2012 (from memory).
func register(a, b Clip) place {
	fixed := pictureOf(b, registerWidth).detail(detailReach)
	best := place{correlation: math.Inf(-1)}
	for _, scale := range scales {
		moving := pictureOf(a, int(math.Round(registerWidth*scale))).detail(detailReach)
		if p := correlate(moving, fixed); p.correlation > best.correlation {
			best, best.scale = p, scale
		}
		if best.correlation >= sameForSure {
			break
		}
	}
	return best
}

// correlate finds the shift of the greatest correlation of two pictures.
func correlate(a, b *picture) place {
	w, h := spanOf(a.width+b.width), spanOf(a.height+b.height)
	t := newTransform(w, h)
	va, sa, ma := t.of(a)
	vb, sb, mb := t.of(b)
	overlap := t.cross(ma, mb)
	sumA, sumB := t.cross(va, mb), t.cross(ma, vb)
	squareA, squareB := t.cross(sa, mb), t.cross(ma, sb)
	product := t.cross(va, vb)
	least := leastOverlap * math.Min(total(a), total(b))
	best := place{correlation: math.Inf(-1)}
	for i, n := range overlap {
		if n < least || n < 1 {
			continue
		}
		up := product[i] - sumA[i]*sumB[i]/n
		down := (squareA[i] - sumA[i]*sumA[i]/n) * (squareB[i] - sumB[i]*sumB[i]/n)
		if down <= 1e-9*n*n { // without detail
			continue
		}
		if c := up / math.Sqrt(down); c > best.correlation {
			best = place{dx: signed(i%w, w), dy: signed(i/w, h), correlation: c}
		}
	}
	return best
}

// signed is an index of a circular shift as a shift either way.
func signed(i, n int) int {
	if i > n/2 {
		return i - n
	}
	return i
}

func total(p *picture) (n float64) {
	for _, v := range p.valid {
		if v {
			n++
		}
	}
	return n
}

// spanOf is a length that transforms fast and holds n.
func spanOf(n int) int {
	for size := 1; ; size *= 2 {
		for _, m := range []int{size, size * 5 / 4, size * 3 / 2} {
			if m >= n && m%2 == 0 {
				return m
			}
		}
	}
}

// A transform is the discrete Fourier transform of pictures on a plane of one size.
type transform struct {
	width, height int
	row, col      *fourier.CmplxFFT
}

func newTransform(width, height int) *transform {
	return &transform{width, height, fourier.NewCmplxFFT(width), fourier.NewCmplxFFT(height)}
}

// of returns the transforms of a picture, of its square and of where it is valid.
func (t *transform) of(p *picture) (value, square, mask []complex128) {
	n := t.width * t.height
	value, square, mask = make([]complex128, n), make([]complex128, n), make([]complex128, n)
	for y := range p.height {
		for x := range p.width {
			if i := p.at(x, y); p.valid[i] {
				v := p.stops[i]
				at := y*t.width + x
				value[at], square[at], mask[at] = complex(v, 0), complex(v*v, 0), 1
			}
		}
	}
	t.forward(value)
	t.forward(square)
	t.forward(mask)
	return value, square, mask
}

// cross is the correlation of what two transforms are of, at every shift of the first.
func (t *transform) cross(a, b []complex128) []float64 {
	product := make([]complex128, len(a))
	for i := range a {
		product[i] = complex(real(a[i]), -imag(a[i])) * b[i]
	}
	t.each(product, t.row.Sequence, t.col.Sequence)
	out := make([]float64, len(a))
	for i, v := range product {
		out[i] = real(v) / float64(len(a))
	}
	return out
}

func (t *transform) forward(v []complex128) { t.each(v, t.row.Coefficients, t.col.Coefficients) }

// each transforms all rows, then all columns, in place.
func (t *transform) each(v []complex128, rows, cols func(dst, seq []complex128) []complex128) {
	for y := range t.height {
		line := v[y*t.width : (y+1)*t.width]
		rows(line, line)
	}
	column := make([]complex128, t.height)
	for x := range t.width {
		for y := range column {
			column[y] = v[y*t.width+x]
		}
		cols(column, column)
		for y, c := range column {
			v[y*t.width+x] = c
		}
	}
}
