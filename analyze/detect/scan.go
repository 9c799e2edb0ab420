package detect

import (
	"math"
	"slices"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/curve"
	"stopledger/decode"
)

// A scan is one frame as every search sees it.
type scan struct {
	opt    Options
	p      *Params // of opt
	meter  *meter
	levels []*pyramid.Level    // the finest first
	limits []pyramid.Steepness // of each level, closely drawn
	tones  pyramid.ToneTable
	matrix curve.Matrix
	cast   colourCast
	frame  Tones
	tiles  []*pyramid.Components // of each level, closely drawn
}

// Tones are how light a frame is, in recorded stops.
type Tones struct {
	Middle curve.Stops // half of the frame is as dark or darker; unknown in a frame too small to search
	Spread curve.Stops // half of what lies between its 16 % and 84 % points: one standard deviation
}

// newScan returns a frame's scan; ok is false for a frame that is too small to search.
func newScan(f *decode.Frame, r curve.Reading, m curve.Matrix, opt Options) (s *scan, ok bool) {
	p := opt.Params
	s = &scan{opt: opt, p: p, matrix: m, levels: pyramid.Build(f, r, m, opt.reduction(), &p.Flat)}
	if min(s.levels[0].W, s.levels[0].H) < p.Flat.SmallestLevel {
		return nil, false
	}
	s.tones = pyramid.NewToneTable(r, &p.Flat)
	s.cast = castOf(s.coarsest(), s.tones, m, p.Search.MostCast)
	s.frame = s.frameTones()
	s.meter = newMeter(f, r, m, opt.Ceiling, &p.Search)
	return s, true
}

func (s *scan) coarsest() *pyramid.Level { return s.levels[len(s.levels)-1] }

// A flat is one level with what is flat in it.
type flat struct {
	mask  *pyramid.Mask
	tiles *pyramid.Components // closely drawn, not narrowed
	noise pyramid.Roughness
}

// flatOf marks what is flat in a level and notes its limits; the levels must be asked for in order.
func (s *scan) flatOf(level int) flat {
	l, p := s.levels[level], &s.p.Search
	noise := pyramid.RoughnessOf(l, &s.p.Flat)
	limits := func(d pyramid.Drawing) pyramid.Steepness { return noise.Limits(d, &s.p.Flat) }
	s.limits = append(s.limits, limits(p.Close))
	tight := p.Close
	if level == 0 {
		tight = p.Finest
	}
	mask := pyramid.MaskOf(l, limits(tight), limits(p.Loose))
	return flat{mask, s.connect(mask, pyramid.Close, 0), noise}
}

func (s *scan) connect(m *pyramid.Mask, bits uint8, narrowed int) *pyramid.Components {
	return pyramid.Connect(m, bits, s.p.Search.LeastPatchArea, narrowed, &s.p.Flat)
}

// A colourCast is the frame's own middle colour in stops of R-G and B-G, bounded.
type colourCast struct{ rg, bg float64 }

func castOf(l *pyramid.Level, tones pyramid.ToneTable, m curve.Matrix, most float64) colourCast {
	var rg, bg []float64
	for i := 0; i < len(l.Y); i += 5 {
		t := tones.Tone(float64(l.Y[i]), float64(l.U[i]), float64(l.V[i]), m)
		rg, bg = append(rg, t.R-t.G), append(bg, t.B-t.G)
	}
	bound := func(x float64) float64 { return math.Min(math.Max(x, -most), most) }
	return colourCast{bound(robust.Median(rg)), bound(robust.Median(bg))}
}

// frameTones returns how light the frame is, as its coarsest level shows it.
func (s *scan) frameTones() Tones {
	l := s.coarsest()
	stops := make([]float64, len(l.Y))
	for i, code := range l.Y {
		stops[i] = s.tones.At(float64(code))
	}
	slices.Sort(stops)
	at := func(share float64) curve.Stops { return curve.Stops(robust.Quantile(stops, share)) }
	return Tones{Middle: at(0.5), Spread: (at(0.84) - at(0.16)) / 2}
}

func sq(x float64) float64 { return x * x }
