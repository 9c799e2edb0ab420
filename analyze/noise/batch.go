package noise

import (
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/limit"
	"stopledger/analyze/robust"
)

// A batch is a run of a group's frames that is judged as one: does it move?
type batch struct {
	*scratch
	pairs      int
	deviations []uint64  // by cell, over the pairs
	opening    []uint64  // by cell, deviations of the group's first pair
	textures   []float32 // by cell, of the first pair
	offset     float64   // least texture of the cells, over the variance of noise
}

// withoutOffset takes what is carried over out of the samples' texture.
func (b *batch) withoutOffset() {
	for i := range b.samples {
		b.samples[i].texture -= float32(b.offset * b.samples[i].variance)
	}
}

// leastTold is how many cells a growth needs.
const leastTold = 24

// A growth is what cells with and without texture say of movement and of noise that is carried over
// from frame to frame. White noise differs by as much over any lag; noise that is carried over
// differs more over a long one, everywhere, and a picture that moves does where it has texture.
type growth struct {
	flat     float64 // variance to the group's first frame / to the neighbour, cells without texture; NaN where few
	quarter  float64 // the same by the lower quartile in place of the median, which what moves hardly reaches
	textured float64 // the same of cells with texture, NaN where few
	excess   float64 // variance of cells with texture / of those without it at the same level, NaN where few
	offset   float64 // least texture of the cells, over the variance of noise; over 0 where noise is carried over
}

// moves tells whether the picture moves as a whole. Slow movement grows with the lag; quick movement
// stands out at once, unless lossy coding, which flattens cells without texture, makes others stand out too.
func (g growth) moves(coded bool) bool {
	return g.textured > max(limit.MovingGrowth, limit.MovingGrowth*g.flatOr(1)) ||
		!coded && g.excess > limit.MovingExcess || g.flat > limit.MostCarried
}

func (g growth) flatOr(otherwise float64) float64 {
	if math.IsNaN(g.flat) {
		return otherwise
	}
	return g.flat
}

// A told is a cell as a batch tells it.
type told struct {
	cell    int
	near    float64 // variance to the neighbour, mean over the pairs
	opening float64 // the same of the group's first pair
	texture float64 // over near
}

// told returns the whole cells in which something changed.
func (b *batch) told() []told {
	out := make([]told, 0, len(b.deviations))
	for i, sum := range b.deviations {
		if sum > 0 { // 0 of cells that are cut off too
			near := cells.Variance(sum) / float64(b.pairs)
			out = append(out, told{i, near, cells.Variance(b.opening[i]), float64(b.textures[i]) / near})
		}
	}
	return out
}

// ends gather the variance of a group's first pair of frames and of a batch's last, over the mean of the
// batch's. Some coders spend other bits on a clip's first frame than on later ones, which is no growth.
type ends struct{ opening, last []float64 }

func (e *ends) add(c told, last float64) {
	if c.opening > 0 && last > 0 { // 0 where a frame repeats
		e.opening, e.last = append(e.opening, c.opening/c.near), append(e.last, last/c.near)
	}
}

// expected returns the variance from first to last frame that white noise of those ends has, over the
// mean to the neighbour: one more than usual at either end counts as half a difference.
func (e *ends) expected() float64 {
	if len(e.opening) < leastTold {
		return 1
	}
	return min(max(robust.Median(e.opening)+robust.Median(e.last)-1, 0.5), 2)
}

// growth compares frame f, the batch's last, with its group's first. Cells with little noise do not tell.
func (b *batch) growth(f *cells.Frame, s *toneScale) growth {
	all := b.told()
	b.offset = leastTexture(all)
	var flat, textured []float64
	var at ends
	levels := newLevels(f)
	toFirst := cells.Deviations(f.Luma, f.LumaFirst, f.Bits)
	for _, c := range all {
		// The estimate scatters with what is carried over.
		isFlat := c.texture <= 1.5*b.offset+flatTexture
		if c.near < s.least || !isFlat && c.texture < 1.5*b.offset+fullTexture {
			continue
		}
		ratio := cells.Variance(toFirst[c.cell]) / c.near
		if isFlat {
			flat = append(flat, ratio)
			at.add(c, cells.Variance(f.Cells[c.cell].Deviation))
		} else {
			textured = append(textured, ratio)
		}
		levels.add(f.Cells[c.cell].Sum, c.near, isFlat)
	}
	white := 1.0
	if s.ends {
		white = at.expected()
	}
	return growth{b.quantile(flat, 0.5) / white, b.quantile(flat, 0.25) / white, b.quantile(textured, 0.5) / white,
		levels.excess(), b.offset}
}

// leastTexture returns the texture of the picture's plainest cells, over the variance of noise: 0
// where enough have none; more where noise is carried over, which adds as much to all, or where
// all have texture.
func leastTexture(all []told) float64 {
	list := make([]float64, len(all))
	for i, c := range all {
		list[i] = c.texture
	}
	slices.Sort(list)
	if len(list) < leastTold || list[leastTold-1] <= flatTexture {
		return 0
	}
	return max(robust.Quantile(list, 0.1), 0)
}

// quantile returns a quantile of ratios of variances over that of white noise.
func (b *batch) quantile(ratios []float64, p float64) float64 {
	if len(ratios) < leastTold {
		return math.NaN()
	}
	slices.Sort(ratios)
	spread := 2/float64(cells.Freedom) + 2/(cells.Freedom*pairFreedom(b.pairs))
	return robust.Quantile(ratios, p) / robust.ChiQuantile(p, 2/spread)
}

// levelsApart is how many levels the codes are cut into to compare cells of the same level.
const levelsApart = 32

// levels gather the variances of cells with and without texture by level.
type levels struct {
	perLevel       uint64 // of a cell's sum
	flat, textured [levelsApart + 1][]float64
}

func newLevels(f *cells.Frame) *levels {
	return &levels{perLevel: max(uint64(len(f.Histogram))*cells.Area/levelsApart, 1)}
}

func (l *levels) add(sum uint64, variance float64, flat bool) {
	at := min(sum/l.perLevel, levelsApart)
	if flat {
		l.flat[at] = append(l.flat[at], variance)
	} else {
		l.textured[at] = append(l.textured[at], variance)
	}
}

// excess returns the median ratio of a cell with texture to those without it, NaN where few.
func (l *levels) excess() float64 {
	var ratios []float64
	for i, flat := range l.flat {
		if len(flat) < leastCells {
			continue
		}
		usual := robust.Median(flat)
		for _, v := range l.textured[i] {
			ratios = append(ratios, v/usual)
		}
	}
	if len(ratios) < leastTold {
		return math.NaN()
	}
	return robust.Median(ratios)
}
