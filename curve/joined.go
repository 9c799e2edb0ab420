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
	Shape
}

// pieces meet when they miss each other by no more than rounding in float64 does (of n).
const meeting = 1e-12

// Join returns lower for light below at, and upper from there on, made continuous by a short
// straight bridge where the two miss each other.
func Join(lower Shape, at float64, upper Shape) Shape {
	return join(lower, span{fromX: at, Shape: upper})
}

// join puts the upper pieces, in order of their fromX, on top of the lowest.
func join(lowest Shape, upper ...span) joined {
	j := joined{{math.Inf(-1), math.Inf(-1), lowest}}
	for _, up := range upper {
		x, low := up.fromX, j[len(j)-1].Shape
		from, to := low.Encode(x), up.Encode(x)
		switch step := to - from; {
		case step > meeting: // bridge as steep as twice the lower piece, ending at the join
			x1 := x - step*low.Slope(from)
			n1 := low.Encode(x1)
			j = append(j, span{x1, n1, lineThrough(x1, n1, x, to)}, span{x, to, up.Shape})
		case step < -meeting: // bridge half as steep as the upper piece, starting at the join
			x2 := x - 2*step*up.Slope(to)
			n2 := up.Encode(x2)
			j = append(j, span{x, from, lineThrough(x, from, x2, n2)}, span{x2, n2, up.Shape})
		default:
			j = append(j, span{x, to, up.Shape})
		}
	}
	return j
}

func (j joined) Encode(x float64) float64 {
	i := len(j) - 1
	for i > 0 && x < j[i].fromX {
		i--
	}
	return j[i].Shape.Encode(x)
}

func (j joined) Decode(n float64) float64 { return j.pieceAt(n).Decode(n) }
func (j joined) Slope(n float64) float64  { return j.pieceAt(n).Slope(n) }

func (j joined) pieceAt(n float64) Shape {
	i := len(j) - 1
	for i > 0 && n < j[i].fromN {
		i--
	}
	return j[i].Shape
}
