package lut

import (
	"errors"
	"math"
	"slices"

	"stopledger/curve"
)

// A logStyle is a style of a Log node.
type logStyle struct {
	way    direction
	base   float64 // of a style without parameters; 0 with them
	camera bool    // with a straight piece
}

var logStyles = map[string]logStyle{
	"log10": {fromLinear, 10, false}, "antiLog10": {toLinear, 10, false},
	"log2": {fromLinear, 2, false}, "antiLog2": {toLinear, 2, false},
	"linToLog": {fromLinear, 0, false}, "logToLin": {toLinear, 0, false},
	"cameraLinToLog": {fromLinear, 0, true}, "cameraLogToLin": {toLinear, 0, true},
}

// logarithm returns a Log node as light is encoded, alike in all channels, and the way the node goes.
func (n *clfNode) logarithm() (curve.Shape, direction, error) {
	shapes, way, err := n.logs()
	if err != nil {
		return nil, 0, err
	}
	for _, p := range n.Log {
		if !p.same(n.Log[0]) {
			return nil, 0, errors.New("its channels differ: a curve is the same for all")
		}
	}
	return shapes[0], way, nil
}

// logs returns a Log node as light is encoded in each channel, and the way the node goes.
func (n *clfNode) logs() (shapes [3]curve.Shape, way direction, err error) {
	style, known := logStyles[n.Style]
	switch {
	case !known:
		return shapes, 0, errors.New("its style is none of log10, log2, linToLog, cameraLinToLog and their inverses")
	case style.base > 0:
		s := flooredLog(style.base, 1, 1, 0, 0)
		return [3]curve.Shape{s, s, s}, style.way, nil
	case len(n.Log) == 0:
		return shapes, 0, errors.New("has no LogParams")
	}
	var channels []string
	for _, p := range n.Log {
		channels = append(channels, p.Channel)
	}
	of, err := perChannel(channels)
	for c := 0; c < 3 && err == nil; c++ {
		shapes[c], err = n.Log[of[c]].shape(style.camera)
	}
	return shapes, style.way, err
}

// perChannel returns which of a node's parameters are those of R, G and B: one for all, or one each.
func perChannel(named []string) (of [3]int, err error) {
	if slices.Equal(named, []string{""}) {
		return of, nil
	}
	for c, name := range []string{"R", "G", "B"} {
		if of[c] = slices.Index(named, name); of[c] < 0 || len(named) != 3 {
			return of, errors.New("its parameters are for some channels only: give them for all at once, or for R, G and B")
		}
	}
	return of, nil
}

func (p clfLogParams) all() []*float64 {
	return []*float64{
		p.Base, p.LogSideSlope, p.LogSideOffset,
		p.LinSideSlope, p.LinSideOffset, p.LinSideBreak, p.LinearSlope,
	}
}

func (p clfLogParams) same(q clfLogParams) bool {
	return slices.EqualFunc(p.all(), q.all(), func(a, b *float64) bool {
		return a == nil && b == nil || a != nil && b != nil && *a == *b
	})
}

// shape returns the parameters' function, defaults as the format gives them: base 2, slopes
// 1, offsets 0. In a camera style the straight piece meets the logarithm at linSideBreak and,
// without linearSlope, goes on with its slope there.
func (p clfLogParams) shape(camera bool) (curve.Shape, error) {
	for _, v := range p.all() {
		if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
			return nil, errors.New("a parameter is not a number")
		}
	}
	base, gain, offset := or(p.Base, 2), or(p.LogSideSlope, 1), or(p.LogSideOffset, 0)
	in, lift := or(p.LinSideSlope, 1), or(p.LinSideOffset, 0)
	if !(base > 0 && base != 1) {
		return nil, errors.New("its base must be above 0 and not 1")
	}
	if !(gain*in/math.Log(base) > 0) {
		return nil, errors.New("falls with light: a curve must increase")
	}
	if camera != (p.LinSideBreak != nil) {
		return nil, errors.New("linSideBreak belongs to camera styles, always and only")
	}
	if !camera {
		return flooredLog(base, gain, in, lift, offset), nil
	}
	return broken(curve.Log(base, gain, in, lift, offset), *p.LinSideBreak, p.LinearSlope)
}

// broken returns a logarithm with a straight piece below at, as steep as slope or, without it, as
// the logarithm is there.
func broken(log curve.Shape, at float64, slope *float64) (curve.Shape, error) {
	n := log.Encode(at)
	steep := or(slope, 1/log.Slope(n))
	if !curve.Finite(n) || !(steep > 0) || math.IsInf(steep, 0) {
		return nil, errors.New("its straight piece does not rise from a logarithm at linSideBreak")
	}
	return curve.Join(curve.Line(steep, n-steep*at), at, log), nil
}

func or(v *float64, usual float64) float64 {
	if v == nil {
		return usual
	}
	return *v
}

// A floored logarithm takes its argument, in x + lift, no lower than smallest, as the Common LUT
// Format has it (Log node, logarithm of zero).
type floored struct {
	curve.Shape
	in, lift float64
	end      float64 // n at smallest
}

// smallest is the smallest normal float32.
const smallest = 1.175494e-38

func flooredLog(base, gain, in, lift, offset float64) curve.Shape {
	end := curve.Log(base, gain, 1, 0, offset).Encode(smallest)
	return floored{curve.Log(base, gain, in, lift, offset), in, lift, end}
}

func (f floored) Encode(x float64) float64 {
	if f.in*x+f.lift < smallest {
		return f.end
	}
	return f.Shape.Encode(x)
}
