package pyramid

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// Build returns the frame n times smaller, then ever halved while a level is worth searching: the
// finest level first.
func Build(f *decode.Frame, r curve.Reading, m curve.Matrix, n int, p *Params) []*Level {
	levels := []*Level{Reduce(f, r, m, n)}
	for {
		l := levels[len(levels)-1]
		if min(l.W, l.H) < 2*p.SmallestLevel {
			return levels
		}
		levels = append(levels, l.Half())
	}
}

// Reduce returns the frame n times smaller. Chroma that is coarser than the level is repeated.
func Reduce(f *decode.Frame, r curve.Reading, m curve.Matrix, n int) *Level {
	luma := f.Planes[0]
	l := New(luma.Width/n, luma.Height/n, float64(n))
	k := SignalScale(f.Bits)
	boxMeans(l.Y, l.W, l.H, luma, n, n, 0, k)
	switch f.Layout {
	case decode.YCbCr:
		c := r.Chroma(m)
		l.Quantum = k * c.CbB
		cw, ch := max(n/f.SubX(), 1), max(n/f.SubY(), 1)
		if n < f.SubX() || n < f.SubY() { // only when not reduced at all
			repeatChroma(l, f, c, k)
			break
		}
		boxMeans(l.U, l.W, l.H, f.Planes[1], cw, ch, c.Mid, k*c.CbB)
		boxMeans(l.V, l.W, l.H, f.Planes[2], cw, ch, c.Mid, k*c.CrR)
	case decode.RGB:
		l.Quantum = k
		g := make([]int16, len(l.Y))
		boxMeans(l.V, l.W, l.H, f.Planes[0], n, n, 0, k)
		boxMeans(g, l.W, l.H, f.Planes[1], n, n, 0, k)
		boxMeans(l.U, l.W, l.H, f.Planes[2], n, n, 0, k)
		toDifferences(l, g, m)
	}
	return l
}

// boxMeans fills out with (mean of a bw x bh box - offset) x gain, rounded. It reckons in whole
// numbers of 2^-20: sums are below 2^30, so the products fit.
func boxMeans(out []int16, w, h int, p decode.Plane, bw, bh int, offset, gain float64) {
	const unit = 1 << 20 // shifted out below
	factor := int64(math.Round(gain / float64(bw*bh) * unit))
	start := int64(math.Round((0.5 - offset*gain) * unit))
	sums := make([]int32, w)
	for y := range h {
		clear(sums)
		for j := range bh {
			addBoxes(sums, p.Row(min(y*bh+j, p.Height-1)), bw)
		}
		line := out[y*w : y*w+w]
		for x, s := range sums {
			line[x] = int16((int64(s)*factor + start) >> 20)
		}
	}
}

// addBoxes adds each run of bw samples to its sum.
func addBoxes(sums []int32, row []uint16, bw int) {
	switch {
	case len(row) < len(sums)*bw: // an odd size: chroma ends half a sample early
		for x := range sums {
			for i := range bw {
				sums[x] += int32(row[min(x*bw+i, len(row)-1)])
			}
		}
	case bw == 1:
		for x, s := range row[:len(sums)] {
			sums[x] += int32(s)
		}
	case bw == 2:
		row = row[:2*len(sums)]
		for x := range sums {
			sums[x] += int32(row[2*x]) + int32(row[2*x+1])
		}
	default:
		for x := range sums {
			for _, s := range row[x*bw : x*bw+bw] {
				sums[x] += int32(s)
			}
		}
	}
}

func repeatChroma(l *Level, f *decode.Frame, c curve.Chroma, k float64) {
	sx, sy := f.SubX(), f.SubY()
	for y := range l.H {
		cb, cr := f.Planes[1].Row(y/sy), f.Planes[2].Row(y/sy)
		for x := range l.W {
			l.U[y*l.W+x] = int16(math.Round((float64(cb[x/sx]) - c.Mid) * c.CbB * k))
			l.V[y*l.W+x] = int16(math.Round((float64(cr[x/sx]) - c.Mid) * c.CrR * k))
		}
	}
}

// toDifferences turns B', G' and R' held in u, g and v into the level's luma and differences.
func toDifferences(l *Level, g []int16, m curve.Matrix) {
	kr, kg, kb := m.Kr, m.Kg(), m.Kb
	for i := range l.Y {
		luma := kr*float64(l.V[i]) + kg*float64(g[i]) + kb*float64(l.U[i])
		l.Y[i] = int16(math.Round(luma))
		l.U[i] -= l.Y[i]
		l.V[i] -= l.Y[i]
	}
}
