package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// A Light is the light of an area, averaged as light and not as code.
type Light struct {
	Luma    curve.Light    // of the luma signal; 0.18 at nominal grey
	RGB     [3]curve.Light // of R', G' and B'; in a grey frame all are Luma
	Spread  curve.Light    // standard deviation of the pixels' Luma
	Pixels  int            // how many were read
	Clipped curve.Share    // share of them with a channel at the ceiling, 0..1
}

// Stops returns the recorded stops of Luma; -Inf at or below no light.
func (l Light) Stops() curve.Stops { return l.Luma.Stops() }

// tone returns the recorded stops of the channels, none below the deepest.
func (l Light) tone(deepest float64) pyramid.Tone {
	at := func(k int) float64 { return math.Max(float64(l.RGB[k].Stops()), deepest) }
	return pyramid.Tone{R: at(0), G: at(1), B: at(2)}
}

// balance returns the stops of R, G and B over the mean of the three.
func (l Light) balance(deepest float64) [3]curve.Stops {
	t := l.tone(deepest)
	mean := (t.R + t.G + t.B) / 3
	return [3]curve.Stops{curve.Stops(t.R - mean), curve.Stops(t.G - mean), curve.Stops(t.B - mean)}
}

// stopsError returns one standard error of the mean light, in stops: its spread over the root of the
// number of pixels, as a share of the light, over ln 2. It takes pixels as independent; it is 1 stop
// at most, and where there is no light.
func (l Light) stopsError() float64 {
	if !(l.Luma > 0) {
		return 1
	}
	return math.Min(float64(l.Spread)/(float64(l.Luma)*math.Ln2*math.Sqrt(float64(l.Pixels))), 1)
}

// A meter reads light from the frame's own samples, at full size.
type meter struct {
	frame   *decode.Frame
	reading curve.Reading
	matrix  curve.Matrix
	chroma  curve.Chroma
	table   []curve.Light
	ceiling float64 // file code at and above which a sample counts as clipped
	most    float64 // pixels read from an area
}

func newMeter(f *decode.Frame, r curve.Reading, m curve.Matrix, ceiling curve.FileCode, p *SearchParams) *meter {
	t := &meter{frame: f, reading: r, matrix: m, chroma: r.Chroma(m), table: r.Table().Light,
		ceiling: float64(ceiling), most: p.MostPixels}
	if t.ceiling <= 0 {
		t.ceiling = p.NearTop * float64(len(t.table)-1)
	}
	return t
}

// linear returns the light of a code that may lie between two of the file's, or beyond them.
func (t *meter) linear(code float64) float64 {
	i := int(code)
	if code < 0 || i >= len(t.table)-1 {
		return float64(t.reading.Light(curve.FileCode(code)))
	}
	share := code - float64(i)
	return float64(t.table[i])*(1-share) + float64(t.table[i+1])*share
}

// each calls visit for the pixels whose centres lie in a convex quad; of a large one it takes some in
// each direction.
func (t *meter) each(q geometry.Quad, visit func(x, y int)) {
	p := t.frame.Planes[0]
	b := q.Bounds()
	step := max(1, int(math.Sqrt(math.Abs(q.Area())/t.most)))
	for y := max(b.Min.Y, 0); y < min(b.Max.Y, p.Height); y += step {
		for x := max(b.Min.X, 0); x < min(b.Max.X, p.Width); x += step {
			if q.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) {
				visit(x, y)
			}
		}
	}
}

// over returns the light of the pixels whose centres lie in a convex quad. Without any, the pixel
// nearest to its centre is read.
func (t *meter) over(q geometry.Quad) Light {
	var s lightSum
	t.each(q, func(x, y int) { t.add(&s, x, y) })
	if s.n == 0 {
		p, c := t.frame.Planes[0], q.Centre()
		t.add(&s, min(max(int(c.X), 0), p.Width-1), min(max(int(c.Y), 0), p.Height-1))
	}
	return s.light()
}

type lightSum struct {
	n, clipped int
	luma, sq   float64
	rgb        [3]float64
}

func (t *meter) add(s *lightSum, x, y int) {
	luma, rgb := t.codes(x, y)
	s.n++
	l := t.linear(luma)
	s.luma += l
	s.sq += l * l
	clipped := luma >= t.ceiling
	for k, c := range rgb {
		s.rgb[k] += t.linear(c)
		clipped = clipped || c >= t.ceiling
	}
	if clipped {
		s.clipped++
	}
}

// codes returns a pixel's luma and R', G', B' as file codes.
func (t *meter) codes(x, y int) (luma float64, rgb [3]float64) {
	f := t.frame
	at := func(i, x, y int) float64 {
		p := &f.Planes[i]
		return float64(p.Samples[min(y, p.Height-1)*p.Stride+min(x, p.Width-1)])
	}
	first := at(0, x, y)
	switch f.Layout {
	case decode.RGB:
		rgb = [3]float64{first, at(1, x, y), at(2, x, y)}
		return t.matrix.Kr*rgb[0] + t.matrix.Kg()*rgb[1] + t.matrix.Kb*rgb[2], rgb
	case decode.YCbCr:
		x, y = x/f.SubX(), y/f.SubY()
		r, g, b := t.chroma.RGB(curve.FileCode(first), curve.FileCode(at(1, x, y)), curve.FileCode(at(2, x, y)))
		return first, [3]float64{float64(r), float64(g), float64(b)}
	}
	return first, [3]float64{first, first, first}
}

func (s *lightSum) light() Light {
	n := float64(s.n)
	luma := s.luma / n
	l := Light{Luma: curve.Light(luma), Pixels: s.n, Clipped: curve.Share(float64(s.clipped) / n)}
	l.Spread = curve.Light(math.Sqrt(math.Max(s.sq/n-luma*luma, 0)))
	for k := range s.rgb {
		l.RGB[k] = curve.Light(s.rgb[k] / n)
	}
	return l
}
