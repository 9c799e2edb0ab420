package curve

import "math"

// joined is a curve of pieces, each used from its fromX (and fromN, decoding) upwards.
//
// Papers print joins with rounded constants, so that pieces may miss each other: by 0.9 code
// in the worst published case. A step up leaves codes without light, a step down gives codes
// two lights. A short straight bridge at the join makes the curve continuous and invertible:
// it costs at most the height of the step, and only within a few steps of the join.
type joined []span

type span struct {
	fromX, fromN float64
	shape
}

// pieces meet when they miss each other by no more than rounding in float64 does (of n).
const meeting = 1e-12

// join puts the upper pieces, in order of their fromX, on top of the lowest.
func join(lowest shape, upper ...span) joined {
	j := joined{{math.Inf(-1), math.Inf(-1), lowest}}
	for _, up := range upper {
		x, low := up.fromX, j[len(j)-1].shape
		from, to := low.encode(x), up.encode(x)
		switch step := to - from; {
		case step > meeting: // bridge as steep as twice the lower piece, ending at the join
			x1 := x - step*low.slope(from)
			n1 := low.encode(x1)
			j = append(j, span{x1, n1, lineThrough(x1, n1, x, to)}, span{x, to, up.shape})
		case step < -meeting: // bridge half as steep as the upper piece, starting at the join
			x2 := x - 2*step*up.slope(to)
			n2 := up.encode(x2)
			j = append(j, span{x, from, lineThrough(x, from, x2, n2)}, span{x2, n2, up.shape})
		default:
			j = append(j, span{x, to, up.shape})
		}
	}
	return j
}

func (j joined) encode(x float64) float64 {
	i := len(j) - 1
	for i > 0 && x < j[i].fromX {
		i--
	}
	return j[i].shape.encode(x)
}

func (j joined) decode(n float64) float64 { return j.pieceAt(n).decode(n) }
func (j joined) slope(n float64) float64  { return j.pieceAt(n).slope(n) }

func (j joined) pieceAt(n float64) shape {
	i := len(j) - 1
	for i > 0 && n < j[i].fromN {
		i--
	}
	return j[i].shape
}
