package clipping

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// Lossy coding takes noise as it likes, of R and B, which are far from luma, most of it: that noise dwindles
// at the end of a channel's light says little. Smooth cells there show that light goes on as it did where G,
// which is nearest to luma, or the channel itself keeps its noise, and the channel rises with the others still:
// over one that clips alone the others go on, and where all clip none has noise. The limits were set on the
// synthetic camera of decode/synth/footage (seeds below 1000).
const (
	topCells                        = 1.2       // codes below the highest cells in which cells belong to the end
	fewTop, fewBelow                = 4, 8      // cells there and below that tell their noise
	cellsFrom, cellsTo              = 2.7, 14   // codes below the highest cells with which they are compared
	greenKept                       = 0.65      // of the temporal variance below, rounding included, that is left of G
	ownKept                         = 0.85      // the same of the channel's own
	mostOver, surelyOver            = 0.28, 0.5 // codes by which the others seem to go on over a channel, and surely do
	atEnd                curve.Code = 4         // codes under the end in which the highest smooth cells lie
	smoothest                       = 4.0       // variance of shading, in code^2, up to which a cell is smooth
)

// endCells are the smooth cells at the end of a channel's light and those some codes below.
type endCells struct {
	channel   int
	on, below []endCell
}

// An endCell is mean and temporal variance of R, G and B, in 10-bit codes.
type endCell struct {
	code     [3]curve.Code
	temporal [3]float64
}

// endCells returns the smooth cells at a channel's end, a code; none where they lie lower or are few.
func (t *tops) endCells(channel int, end curve.Code) endCells {
	per := t.reading.PerCode()
	var all []endCell
	for _, s := range t.surveys {
		for i, m := range s.Channels[channel] {
			if !curve.Finite(m.Mean) || t.mask.Has(i) || !t.isSmooth(m) {
				continue
			}
			var e endCell
			for c := range e.code {
				e.code[c] = curve.Code(s.Channels[c][i].Mean / per)
				e.temporal[c] = s.Channels[c][i].Temporal / per / per
			}
			all = append(all, e)
		}
	}
	own := func(e endCell) curve.Code { return e.code[channel] }
	slices.SortFunc(all, func(a, b endCell) int { return cmp.Compare(own(a), own(b)) })
	on, below := ends(all, own)
	if len(on) < fewTop || len(below) < fewBelow || own(on[len(on)-1]) < end-atEnd {
		return endCells{}
	}
	return endCells{channel, on, below}
}

// isSmooth tells whether a cell has hardly any shading besides its noise.
func (t *tops) isSmooth(m cells.Moments) bool {
	return m.Spatial-m.Temporal <= smoothest*t.reading.PerCode()*t.reading.PerCode()
}

// ends returns the highest of cells in order of a level, but for a few, and those some codes below them.
func ends[C any](all []C, level func(C) curve.Code) (on, below []C) {
	few := max(len(all)/500, 2)
	if len(all) <= few {
		return nil, nil
	}
	top := level(all[len(all)-1-few])
	from := func(under curve.Code) int {
		at, _ := slices.BinarySearchFunc(all, top-under, func(c C, v curve.Code) int { return cmp.Compare(level(c), v) })
		return at
	}
	return all[from(topCells):], all[from(cellsTo):from(cellsFrom)]
}

// goesOn tells whether light at the end is seen to be as it is below.
func (e endCells) goesOn() bool {
	const green = 1
	return len(e.on) > 0 && (e.kept(green) >= greenKept || e.kept(e.channel) >= ownKept) && e.over() < mostOver
}

// kept returns what is left at the end of a channel's temporal variance below.
func (e endCells) kept(channel int) float64 {
	noise := func(all []endCell) float64 {
		values := make([]float64, 0, len(all))
		for _, c := range all {
			values = append(values, c.temporal[channel])
		}
		return robust.Median(values)
	}
	return noise(e.on) / noise(e.below)
}

// over returns by how many codes of the channel both others go on over it at the end, beyond the lines on
// which they rise with it below: the median; 0 where that is not known.
func (e endCells) over() float64 {
	if len(e.on) == 0 {
		return 0
	}
	least := math.Inf(1)
	own, top := e.channel, e.on[0].code[e.channel]
	x, y := make([]float64, len(e.below)), make([]float64, len(e.below))
	for other := range e.on[0].code {
		if other == own {
			continue
		}
		for i, c := range e.below {
			x[i], y[i] = float64(c.code[own]-top), float64(c.code[other])
		}
		offset, slope := stat.LinearRegression(x, y, nil, false)
		beyond := make([]float64, len(e.on))
		for i, c := range e.on {
			beyond[i] = (float64(c.code[other])-offset)/slope - float64(c.code[own]-top)
		}
		least = min(least, robust.Median(beyond))
	}
	return least
}
