// Package curve knows the published transfer functions and turns recorded codes into
// scene-linear light and back. It is pure: no files, no frames, nothing of ours imported.
package curve

import (
	"fmt"
	"math"
)

// A Curve is one published transfer function.
type Curve struct {
	Name       string // as published
	Convention Convention

	encode, decode, slope func(float64) float64
}

// Encode returns the formula's n for scene-linear light.
func (c *Curve) Encode(linear float64) float64 { return c.encode(linear) }

// Decode returns the scene-linear light for the formula's n.
func (c *Curve) Decode(n float64) float64 { return c.decode(n) }

// DecodeSlope returns the derivative of Decode at n: linear light per unit of n.
func (c *Curve) DecodeSlope(n float64) float64 { return c.slope(n) }

// Find returns the curve of a name, matched without case, spaces, dots and dashes.
func Find(name string) (*Curve, error) {
	for _, c := range published {
		if c.Name == name {
			return c, nil
		}
	}
	return nil, fmt.Errorf("no curve is called %q", name)
}

// All returns the published curves in the order they are shown to people.
func All() []*Curve { return published }

var published = []*Curve{
	{
		Name: "S-Log3", Convention: DataCodes,
		encode: func(r float64) float64 {
			if r >= 0.01125 {
				return (420 + 261.5*math.Log10((r+0.01)/0.19)) / 1023
			}
			return (r*(171.2102946929-95)/0.01125 + 95) / 1023
		},
		decode: func(n float64) float64 {
			if n >= 171.2102946929/1023 {
				return 0.19*math.Pow(10, (1023*n-420)/261.5) - 0.01
			}
			return (1023*n - 95) * 0.01125 / (171.2102946929 - 95)
		},
		slope: func(n float64) float64 {
			if n >= 171.2102946929/1023 {
				return 0.19 * math.Pow(10, (1023*n-420)/261.5) * math.Ln10 * 1023 / 261.5
			}
			return 1023 * 0.01125 / (171.2102946929 - 95)
		},
	},
	{
		Name: "Linear", Convention: VideoScaled,
		encode: func(r float64) float64 { return r },
		decode: func(n float64) float64 { return n },
		slope:  func(float64) float64 { return 1 },
	},
}
