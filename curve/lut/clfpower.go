package lut

import (
	"errors"
	"math"
)

// powers returns an Exponent node.
func (n *clfNode) powers() (step, error) {
	of, known := exponentStyles[n.Style]
	if !known {
		return nil, errors.New("its style is none of basicFwd, basicRev, basicMirrorFwd, basicMirrorRev, basicPassThruFwd, " +
			"basicPassThruRev, monCurveFwd, monCurveRev, monCurveMirrorFwd, monCurveMirrorRev")
	}
	var named []string
	for _, p := range n.Exponent {
		named = append(named, p.Channel)
	}
	which, err := perChannel(named)
	if err != nil {
		return nil, err
	}
	var each eachChannel
	for c := range 3 {
		if each[c], err = of(n.Exponent[which[c]]); err != nil {
			return nil, err
		}
	}
	return &each, nil
}

// An eachChannel is a function of each channel.
type eachChannel [3]func(x float64) float64

func (e *eachChannel) apply(rgb *[3]float64) {
	for c, x := range rgb {
		rgb[c] = e[c](x)
	}
}

// Styles of an Exponent node by name, as formulas of the Common LUT Format (Exponent node).
var exponentStyles = map[string]func(p clfExponent) (func(float64) float64, error){
	"basicFwd":          basic(false, func(float64, float64) float64 { return 0 }),
	"basicRev":          basic(true, func(float64, float64) float64 { return 0 }),
	"basicMirrorFwd":    basic(false, oddPower),
	"basicMirrorRev":    basic(true, oddPower),
	"basicPassThruFwd":  basic(false, func(x, _ float64) float64 { return x }),
	"basicPassThruRev":  basic(true, func(x, _ float64) float64 { return x }),
	"monCurveFwd":       monCurve(monCurveFwd, false),
	"monCurveRev":       monCurve(monCurveRev, false),
	"monCurveMirrorFwd": monCurve(monCurveFwd, true),
	"monCurveMirrorRev": monCurve(monCurveRev, true),
}

func oddPower(x, exponent float64) float64 { return math.Copysign(math.Pow(math.Abs(x), exponent), x) }

// basic is x^exponent, or x^(1/exponent), and below zero as it is told.
func basic(inverse bool, below func(x, exponent float64) float64) func(clfExponent) (func(float64) float64, error) {
	return func(p clfExponent) (func(float64) float64, error) {
		if p.Exponent == nil || !(*p.Exponent >= 0.01 && *p.Exponent <= 100) {
			return nil, errors.New("its exponent is not from 0.01 to 100")
		}
		exponent := *p.Exponent
		if inverse {
			exponent = 1 / exponent
		}
		return func(x float64) float64 {
			if x < 0 {
				return below(x, exponent)
			}
			return math.Pow(x, exponent)
		}, nil
	}
}

// A monitor is a power curve with a straight foot, as sRGB and BT.709 have one: of an exponent and the
// offset of its power.
type monitor struct {
	exponent, offset float64
	at               float64 // x where the foot ends
	slope            float64 // of the foot
}

// monCurve is a monitor curve one way or the other; below zero it goes on straight, or is mirrored.
func monCurve(way func(m monitor, x float64) float64, mirror bool) func(clfExponent) (func(float64) float64, error) {
	return func(p clfExponent) (func(float64) float64, error) {
		if p.Exponent == nil || p.Offset == nil ||
			!(*p.Exponent >= 1 && *p.Exponent <= 10) || !(*p.Offset >= 0 && *p.Offset <= 0.9) {
			return nil, errors.New("its exponent is not from 1 to 10, or its offset not from 0 to 0.9")
		}
		const least = 1e-6 // nearer to 1 and 0 the foot is no number
		m := monitor{exponent: max(*p.Exponent, 1+least), offset: max(*p.Offset, least)}
		g, k := m.exponent, m.offset
		m.at = k / (g - 1)
		m.slope = (g - 1) / k * math.Pow(k*g/((g-1)*(1+k)), g)
		return func(x float64) float64 {
			if mirror && x < 0 {
				return -way(m, -x)
			}
			return way(m, x)
		}, nil
	}
}

func monCurveFwd(m monitor, x float64) float64 {
	if x >= m.at {
		return math.Pow((x+m.offset)/(1+m.offset), m.exponent)
	}
	return x * m.slope
}

func monCurveRev(m monitor, y float64) float64 {
	if y >= m.at*m.slope {
		return (1+m.offset)*math.Pow(y, 1/m.exponent) - m.offset
	}
	return y / m.slope
}
