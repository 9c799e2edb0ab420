package curve

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// matrix returns what a Matrix does to neutrals: all its rows must do the same to them. It
// mixes if it does more than scale each channel by itself.
func (n *clfNode) matrix(in, out float64) (l line, mixes bool, err error) {
	const printed = 1e-5 // rows of printed matrices add up to 1 no closer
	columns, v, err := n.Array.values("3 3", "3 3 3", "3 4", "3 4 3")
	if err != nil {
		return line{}, false, err
	}
	for row := range 3 {
		r := v[row*columns : (row+1)*columns]
		at := line{(r[0] + r[1] + r[2]) * in / out, 0}
		if columns == 4 {
			at.offset = r[3] / out
		}
		if row == 0 {
			l = at
		}
		if !(math.Abs(at.gain-l.gain) <= printed*math.Abs(l.gain) && math.Abs(at.offset-l.offset) <= printed) {
			return line{}, false, errors.New("colours neutrals: a curve leaves them neutral")
		}
		for i := range 3 {
			mixes = mixes || i != row && r[i] != 0
		}
	}
	return l, mixes, l.rises()
}

// scaling returns a Range that only scales.
func (n *clfNode) scaling(in, out float64) (line, error) {
	if n.Style != "noClamp" {
		return line{}, errors.New(`clamps, which no curve can undo: give it style="noClamp" or leave it out`)
	}
	for _, v := range []*float64{n.MinIn, n.MaxIn, n.MinOut, n.MaxOut} {
		if v == nil || math.IsNaN(*v) || math.IsInf(*v, 0) {
			return line{}, errors.New("needs numbers for minInValue, maxInValue, minOutValue and maxOutValue")
		}
	}
	l := lineThrough(*n.MinIn/in, *n.MinOut/out, *n.MaxIn/in, *n.MaxOut/out)
	return l, l.rises()
}

func (l line) rises() error {
	if !(l.gain > 0) || math.IsInf(l.gain, 1) || math.IsNaN(l.offset) || math.IsInf(l.offset, 0) {
		return errors.New("does not rise: a curve must increase")
	}
	return nil
}

// table returns a LUT1D over input 0..1, alike in its channels, the way it goes and, from
// linear, the n it ends at.
func (n *clfNode) table(out float64, input, output string) (shape, direction, float64, error) {
	if n.Half == "true" || n.RawHalfs == "true" {
		return nil, 0, 0, errors.New("is a table over half-floats: write it over 0 to 1")
	}
	columns, v, err := n.Array.values("N 1", "N 3")
	if err != nil {
		return nil, 0, 0, err
	}
	entries := make([]float64, 0, len(v)/columns)
	for i := 0; i < len(v); i += columns {
		x, err := alike(v[i : i+columns])
		if err != nil {
			return nil, 0, 0, fmt.Errorf("entry %d: %w", i/columns+1, err)
		}
		entries = append(entries, x/out)
	}
	way, err := describedWay(input, output, entries)
	if err != nil {
		return nil, 0, 0, err
	}
	c, err := tableCurve(0, 1, entries, way)
	if err != nil {
		return nil, 0, 0, err
	}
	return c.shape, way, c.Top, nil
}

// describedWay is the way of a table by its bend and its list's descriptors.
func describedWay(input, output string, entries []float64) (direction, error) {
	in, out := saysLinear(input), saysLinear(output)
	bent, err := bend(entries)
	if in == out {
		return bent, err
	}
	way := fromLinear
	if out {
		way = toLinear
	}
	if err == nil && bent != way {
		return 0, errors.New("bends against its InputDescriptor and OutputDescriptor: one of them takes light for code")
	}
	return way, nil
}

// saysLinear tells whether a descriptor speaks of scene-linear light.
func saysLinear(descriptor string) bool {
	d := strings.NewReplacer("non-linear", "", "nonlinear", "").Replace(strings.ToLower(descriptor))
	for _, word := range []string{"linear", "aces2065", "acescg", "scene light"} {
		if strings.Contains(d, word) {
			return true
		}
	}
	return false
}

// values returns the numbers of an array and how many stand in a row. dims are the forms its
// dim may have, N standing for a count up to maxEntries.
func (a *clfArray) values(dims ...string) (columns int, v []float64, err error) {
	if a == nil {
		return 0, nil, errors.New("has no Array")
	}
	have := strings.Fields(a.Dim)
	for _, dim := range dims {
		rows, columns, ok := matchDim(have, strings.Fields(dim))
		if !ok {
			continue
		}
		fields := strings.Fields(a.Text)
		if len(fields) != rows*columns {
			return 0, nil, fmt.Errorf("its Array has %d numbers where dim says %d", len(fields), rows*columns)
		}
		v, err := numbers(fields)
		return columns, v, err
	}
	return 0, nil, fmt.Errorf("its Array's dim %.20q is not %s", a.Dim, strings.Join(dims, " or "))
}

func matchDim(have, want []string) (rows, columns int, ok bool) {
	if len(have) != len(want) {
		return 0, 0, false
	}
	for i := range want {
		n, err := count(have[i:i+1], maxEntries)
		if err != nil || want[i] != "N" && have[i] != want[i] {
			return 0, 0, false
		}
		switch i {
		case 0:
			rows = n
		case 1:
			columns = n
		}
	}
	return rows, columns, rows >= 2
}
