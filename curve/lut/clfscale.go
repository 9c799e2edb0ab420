package lut

import (
	"errors"
	"math"

	"stopledger/curve"
)

// An affine is v -> gain v + offset, what a Matrix or Range does to neutrals.
type affine struct{ gain, offset float64 }

// affineThrough is the one through two points.
func affineThrough(x1, y1, x2, y2 float64) affine {
	gain := (y2 - y1) / (x2 - x1)
	return affine{gain, y1 - gain*x1}
}

func (l affine) inverse() affine    { return affine{1 / l.gain, -l.offset / l.gain} }
func (l affine) shape() curve.Shape { return curve.Line(l.gain, l.offset) }

func (l affine) rises() error {
	if !(l.gain > 0) || math.IsInf(l.gain, 1) || math.IsNaN(l.offset) || math.IsInf(l.offset, 0) {
		return errors.New("does not rise: a curve must increase")
	}
	return nil
}

// matrix returns what a Matrix does to neutrals: all its rows must do the same to them. It
// mixes if it does more than scale each channel by itself.
func (n *clfNode) matrix(in, out float64) (l affine, mixes bool, err error) {
	const printed = 1e-5 // rows of printed matrices add up to 1 no closer
	columns, v, err := n.Array.values("3 3", "3 3 3", "3 4", "3 4 3")
	if err != nil {
		return affine{}, false, err
	}
	for row := range 3 {
		r := v[row*columns : (row+1)*columns]
		at := affine{(r[0] + r[1] + r[2]) * in / out, 0}
		if columns == 4 {
			at.offset = r[3] / out
		}
		if row == 0 {
			l = at
		}
		if !(math.Abs(at.gain-l.gain) <= printed*math.Abs(l.gain) && math.Abs(at.offset-l.offset) <= printed) {
			return affine{}, false, errors.New("colours neutrals: a curve leaves them neutral")
		}
		for i := range 3 {
			mixes = mixes || i != row && r[i] != 0
		}
	}
	return l, mixes, l.rises()
}

// scaling returns a Range that only scales.
func (n *clfNode) scaling(in, out float64) (affine, error) {
	if n.Style != "noClamp" {
		return affine{}, errors.New(`clamps, which no curve can undo: give it style="noClamp" or leave it out`)
	}
	for _, v := range []*float64{n.MinIn, n.MaxIn, n.MinOut, n.MaxOut} {
		if v == nil || math.IsNaN(*v) || math.IsInf(*v, 0) {
			return affine{}, errors.New("needs numbers for minInValue, maxInValue, minOutValue and maxOutValue")
		}
	}
	l := affineThrough(*n.MinIn/in, *n.MinOut/out, *n.MaxIn/in, *n.MaxOut/out)
	return l, l.rises()
}
