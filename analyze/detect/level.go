package detect

import (
	"image"
	"math"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// A level is the frame's signal made smaller: luma and the two colour differences B'-Y' and
// R'-Y' on the 12-bit scale (file code x 2^(12-bits)), so that R' = y+v, B' = y+u. Box means keep
// a straight edge straight and make the noise smaller.
type level struct {
	w, h    int
	scale   float64 // frame pixels to one of the level
	quantum float64 // about what one step of the file's chroma code is here
	y, u, v []int16
}

func newLevel(w, h int, scale float64) *level {
	n := w * h
	samples := make([]int16, 3*n)
	return &level{w: w, h: h, scale: scale, y: samples[:n], u: samples[n : 2*n], v: samples[2*n:]}
}

// levelBits is the depth of a level's scale.
const levelBits = 12

// signalScale turns file codes into a level's.
func signalScale(bits int) float64 { return math.Exp2(float64(levelBits - bits)) }

// reduce returns the frame n times smaller. Chroma that is coarser than the level is repeated.
func reduce(f *decode.Frame, r curve.Reading, m curve.Matrix, n int) *level {
	luma := f.Planes[0]
	l := newLevel(luma.Width/n, luma.Height/n, float64(n))
	k := signalScale(f.Bits)
	boxMeans(l.y, l.w, l.h, luma, n, n, 0, k)
	switch f.Layout {
	case decode.YCbCr:
		c := r.Chroma(m)
		l.quantum = k * c.CbB
		cw, ch := max(n/f.SubX(), 1), max(n/f.SubY(), 1)
		if n < f.SubX() || n < f.SubY() { // only when not reduced at all
			repeatChroma(l, f, c, k)
			break
		}
		boxMeans(l.u, l.w, l.h, f.Planes[1], cw, ch, c.Mid, k*c.CbB)
		boxMeans(l.v, l.w, l.h, f.Planes[2], cw, ch, c.Mid, k*c.CrR)
	case decode.RGB:
		l.quantum = k
		g := make([]int16, len(l.y))
		boxMeans(l.v, l.w, l.h, f.Planes[0], n, n, 0, k)
		boxMeans(g, l.w, l.h, f.Planes[1], n, n, 0, k)
		boxMeans(l.u, l.w, l.h, f.Planes[2], n, n, 0, k)
		toDifferences(l, g, m)
	}
	return l
}

// closeUp returns the area of a frame at its full size, made larger to whole samples of its chroma,
// and where its corner lies. The area must share some of the frame.
func closeUp(f *decode.Frame, r curve.Reading, m curve.Matrix, area image.Rectangle) (*level, geometry.Point) {
	part, at := crop(f, area)
	return reduce(&part, r, m, 1), geometry.Pt(float64(at.X), float64(at.Y))
}

// crop returns a part of a frame and where its corner lies, its samples shared.
func crop(f *decode.Frame, area image.Rectangle) (decode.Frame, image.Point) {
	luma, sx, sy := f.Planes[0], f.SubX(), f.SubY()
	a := area.Intersect(image.Rect(0, 0, luma.Width, luma.Height))
	a.Min = image.Pt(a.Min.X/sx*sx, a.Min.Y/sy*sy)
	part := decode.Frame{Layout: f.Layout, Bits: f.Bits, Planes: [3]decode.Plane{cut(luma, a)}}
	if f.Layout != decode.Gray {
		c := image.Rect(a.Min.X/sx, a.Min.Y/sy, (a.Max.X+sx-1)/sx, (a.Max.Y+sy-1)/sy)
		part.Planes[1], part.Planes[2] = cut(f.Planes[1], c), cut(f.Planes[2], c)
	}
	return part, a.Min
}

// cut returns a part of a plane.
func cut(p decode.Plane, a image.Rectangle) decode.Plane {
	a = a.Intersect(image.Rect(0, 0, p.Width, p.Height))
	return decode.Plane{Samples: p.Samples[a.Min.Y*p.Stride+a.Min.X:], Stride: p.Stride, Width: a.Dx(), Height: a.Dy()}
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

func repeatChroma(l *level, f *decode.Frame, c curve.Chroma, k float64) {
	sx, sy := f.SubX(), f.SubY()
	for y := range l.h {
		cb, cr := f.Planes[1].Row(y/sy), f.Planes[2].Row(y/sy)
		for x := range l.w {
			l.u[y*l.w+x] = int16(math.Round((float64(cb[x/sx]) - c.Mid) * c.CbB * k))
			l.v[y*l.w+x] = int16(math.Round((float64(cr[x/sx]) - c.Mid) * c.CrR * k))
		}
	}
}

// toDifferences turns B', G' and R' held in u, g and v into the level's luma and differences.
func toDifferences(l *level, g []int16, m curve.Matrix) {
	kr, kg, kb := m.Kr, m.Kg(), m.Kb
	for i := range l.y {
		luma := kr*float64(l.v[i]) + kg*float64(g[i]) + kb*float64(l.u[i])
		l.y[i] = int16(math.Round(luma))
		l.u[i] -= l.y[i]
		l.v[i] -= l.y[i]
	}
}

// half returns the level at half its size.
func (l *level) half() *level {
	o := newLevel(l.w/2, l.h/2, l.scale*2)
	o.quantum = l.quantum / 2 // as noise averages out
	halve(o.y, l.y, o.w, o.h, l.w)
	halve(o.u, l.u, o.w, o.h, l.w)
	halve(o.v, l.v, o.w, o.h, l.w)
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

// smallestLevel is the least side of a level worth searching.
const smallestLevel = 40

// pyramid returns the frame n times smaller, then ever halved.
func pyramid(f *decode.Frame, r curve.Reading, m curve.Matrix, n int) []*level {
	levels := []*level{reduce(f, r, m, n)}
	for {
		l := levels[len(levels)-1]
		if min(l.w, l.h) < 2*smallestLevel {
			return levels
		}
		levels = append(levels, l.half())
	}
}

// A tone is one R', G', B' in the units the search compares: stops.
type tone struct{ r, g, b float64 }

// toneTable gives recorded stops for each value of a level's scale.
type toneTable []float32

// deepestTone bounds the stops that the search works with: below, all is noise.
const deepestTone = -8

func newToneTable(r curve.Reading) toneTable {
	t := make(toneTable, 1<<levelBits)
	k := signalScale(r.Bits)
	for i := range t {
		t[i] = float32(math.Max(float64(r.Stops(curve.FileCode(float64(i)/k))), deepestTone))
	}
	return t
}

// at returns the stops of a value, which may be a mean and lie between two.
func (t toneTable) at(v float64) float64 {
	i := int(math.Max(v, 0))
	if i >= len(t)-1 {
		return float64(t[len(t)-1])
	}
	share := float32(math.Max(v, 0) - float64(i))
	return float64(t[i]*(1-share) + t[i+1]*share)
}

// slope returns the stops to a unit of the level's scale at a value.
func (t toneTable) slope(v float64) float64 {
	const reach = 20
	return math.Max(t.at(v+reach)-t.at(v-reach), 1e-6) / (2 * reach)
}

// tone returns the stops of R', G' and B' of a mean of luma and differences. The matrix gives
// G' = Y' - (Kr (R'-Y') + Kb (B'-Y')) / Kg.
func (t toneTable) tone(y, u, v float64, m curve.Matrix) tone {
	return tone{t.at(y + v), t.at(y - (m.Kr*v+m.Kb*u)/m.Kg()), t.at(y + u)}
}
