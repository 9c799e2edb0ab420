package noise

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
)

// The closer look's sums in Go, for its twin in C to be compared with bit for bit.

// A twinPlane holds the samples of one cell, row by row.
type twinPlane [cells.Size][cells.Size]float32

// twinLook looks at one cell of two planes whose rows are width long, from sample at on.
func twinLook(now, was []float32, width, at int) detailCell {
	var difference, mean twinPlane
	for y := range cells.Size {
		for x := range cells.Size {
			a, b := now[at+y*width+x], was[at+y*width+x]
			difference[y][x], mean[y][x] = a-b, (a+b)/2
		}
	}
	c := detailCell{}
	c.code = curve.FileCode(mean.flatten() / cells.Area)
	difference.flatten()
	var square, fourth, fixed, columns, row twinSum
	var rows float32
	for y := range cells.Size {
		row = twinSum{}
		for x := range cells.Size {
			s, m := difference[y][x]*difference[y][x], mean[y][x]
			square[x] += s
			fourth[x] += s * s
			fixed[x] += m * m
			columns[x] += m
			row[x] = m
		}
		r := row.total()
		rows += r * r
	}
	for x := range columns {
		columns[x] *= columns[x]
	}
	total := float64(square.total())
	c.fixed = float64(fixed.total()) / cells.Freedom
	c.row = float64(rows) / cells.Size / cells.Size / bandFreedom
	c.column = float64(columns.total()) / cells.Size / cells.Size / bandFreedom
	c.variance = total / 2 / cells.Freedom
	if total > 0 {
		second := total / cells.Freedom
		c.fourth = float64(fourth.total()) / cells.Area / second / second
	}
	for lag := 1; lag <= lags; lag++ {
		pairs := float64(2 * cells.Size * (cells.Size - lag))
		across, down := difference.products(lag)
		c.across[lag-1], c.down[lag-1] = float64(across)/pairs, float64(down)/pairs
	}
	return c
}

// flatten takes the least-squares plane out and returns the sum.
func (v *twinPlane) flatten() float32 {
	const moment = cells.Area * (cells.Area - 1) / 12.0
	var mean, across, down twinSum
	for y := range v {
		for x, s := range v[y] {
			mean[x] += s
			down[x] += s * (float32(y) - 7.5)
		}
	}
	for x := range across {
		across[x] = mean[x] * (float32(x) - 7.5)
	}
	sum, right, below := mean.total(), across.total()/moment, down.total()/moment
	for y := range v {
		for x := range v[y] {
			v[y][x] -= sum/cells.Area + right*(float32(x)-7.5) + below*(float32(y)-7.5)
		}
	}
	return sum
}

func (v *twinPlane) products(lag int) (across, down float32) {
	var a, d twinSum
	for y := range v {
		for x := range v[y] {
			if x+lag < cells.Size {
				a[x] += v[y][x] * v[y][x+lag]
			}
			if y >= lag {
				d[x] += v[y][x] * v[y-lag][x]
			}
		}
	}
	return a.total(), d.total()
}

// A twinSum is summed down columns, and then over them in the order of its twin.
type twinSum [cells.Size]float32

func (s twinSum) total() float32 {
	for half := cells.Size / 2; half > 0; half /= 2 {
		for x := range half {
			s[x] += s[x+half]
		}
	}
	return s[0]
}

// twinTexture is the texture of the cell whose corner is (x, y), by every second row.
func twinTexture(now, before decode.Plane, x, y int) float32 {
	const last = cells.Size - 1
	var across, down, nowAcross, nowDown, wasAcross, wasDown int64
	for dy := 0; dy < last; dy += 2 {
		a := now.Samples[(y+dy)*now.Stride+x:][:cells.Size]
		b := before.Samples[(y+dy)*before.Stride+x:][:cells.Size]
		below := now.Samples[(y+dy+1)*now.Stride+x:][:cells.Size]
		under := before.Samples[(y+dy+1)*before.Stride+x:][:cells.Size]
		for i := range last {
			across += (int64(a[i+1]) - int64(a[i])) * (int64(b[i+1]) - int64(b[i]))
			n, w := int64(below[i])-int64(a[i]), int64(under[i])-int64(b[i])
			down += n * w
			nowDown += n
			wasDown += w
		}
		nowAcross += int64(a[last]) - int64(a[0])
		wasAcross += int64(b[last]) - int64(b[0])
	}
	const n = last * cells.Size / 2
	return float32(across+down)/n - float32(nowAcross)*float32(wasAcross)/n/n - float32(nowDown)*float32(wasDown)/n/n
}

// twinFieldShift is fieldShift in floating point, exact as long as sums stay below 2^53.
func twinFieldShift(p decode.Plane) float64 {
	var product, square [2]float64
	for y := 1; y+1 < p.Height; y++ {
		above, row, below := p.Row(y-1), p.Row(y), p.Row(y+1)
		for x := 1; x+1 < p.Width; x++ {
			slope := float64(above[x+1]) + float64(below[x+1]) - float64(above[x-1]) - float64(below[x-1])
			gap := 2*float64(row[x]) - float64(above[x]) - float64(below[x])
			product[y&1] += gap * slope
			square[y&1] += slope * slope
		}
	}
	if square[0] == 0 || square[1] == 0 {
		return math.NaN()
	}
	return product[0]/square[0] - product[1]/square[1]
}

// TestTwins compares the sums in C with those in Go on planes of 8 to 16 bits, padded and cut off at the edge:
// flat ones, noise and the ends of the codes.
func TestTwins(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	for _, bits := range []int{8, 10, 12, 16} {
		for name, code := range map[string]func() uint16{
			"flat":  func() uint16 { return 1<<(bits-1) - 1 },
			"noise": func() uint16 { return uint16(random.IntN(1 << bits)) },
			"ends":  func() uint16 { return uint16(random.IntN(2) * (1<<bits - 1)) },
		} {
			now, was := twinPlaneOf(code), twinPlaneOf(code)
			compareLooks(t, name, now, was)
			got := textures(cells.Grid{Width: now.Width, Height: now.Height, Cols: 3, Rows: 3}, now, was)
			for i, v := range got {
				want := float32(0)
				if col, row := i%3, i/3; col < 2 && row < 2 {
					want = twinTexture(now, was, col*cells.Size, row*cells.Size)
				}
				if v != want {
					t.Errorf("%s, %d bits: texture %v of cell %d, want %v", name, bits, v, i, want)
				}
			}
			if got, want := fieldShift(now), twinFieldShift(now); got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
				t.Errorf("%s, %d bits: fields %v apart, want %v", name, bits, got, want)
			}
		}
	}
}

// twinPlaneOf returns a plane of two by two whole cells and a rest, with padding.
func twinPlaneOf(code func() uint16) decode.Plane {
	p := decode.Plane{Width: 2*cells.Size + 5, Height: 2*cells.Size + 3, Stride: 2*cells.Size + 8}
	p.Samples = make([]uint16, p.Stride*p.Height)
	for i := range p.Samples {
		p.Samples[i] = code()
	}
	return p
}

func compareLooks(t *testing.T, name string, now, was decode.Plane) {
	t.Helper()
	a, b := make([]float32, cells.Size*now.Width), make([]float32, cells.Size*now.Width)
	for y := range cells.Size {
		widen(a[y*now.Width:], now.Row(y))
		widen(b[y*now.Width:], was.Row(y))
	}
	got := lookAt(nil, a, b, now.Width)
	if len(got) != 2 {
		t.Fatalf("%s: %d cells", name, len(got))
	}
	for i := range got {
		if got, want := got[i].cell(), twinLook(a, b, now.Width, i*cells.Size); got != want {
			t.Errorf("%s: cell %d is\n%+v, want\n%+v", name, i, got, want)
		}
	}
}
