// Package testframes makes frames in memory for tests: every layout of planes, extreme and random
// content, padding that is poisoned.
package testframes

import (
	"math/rand/v2"

	"stopledger/decode"
)

// A Kind is a layout of planes.
type Kind struct {
	Name   string        // as decode.Info has it in Chroma
	Layout decode.Layout // what the planes hold
	X, Y   int           // luma samples to one chroma sample, across and down
}

// Kinds are all layouts: 4:2:0, 4:2:2, 4:4:4, R'G'B' and gray.
var Kinds = []Kind{
	{"4:2:0", decode.YCbCr, 2, 2}, {"4:2:2", decode.YCbCr, 2, 1}, {"4:4:4", decode.YCbCr, 1, 1},
	{"RGB", decode.RGB, 1, 1}, {"gray", decode.Gray, 1, 1},
}

// A Content gives the sample at (x, y) of a plane of a frame.
type Content func(frame, plane, x, y int) uint16

// padding is how many samples lie between the rows of made frames.
const padding = 5

// Make makes frames at 25 a second whose padding is poisoned with the top code, so that a read
// outside a plane shows.
func Make(k Kind, width, height, bits, frames int, value Content) []*decode.Frame {
	var out []*decode.Frame
	for i := range frames {
		f := &decode.Frame{Layout: k.Layout, Bits: bits, Index: i, Time: float64(i) / 25, Picture: 'I'}
		for p := range f.Planes {
			w, h := width, height
			if p > 0 {
				w, h = (width+k.X-1)/k.X, (height+k.Y-1)/k.Y
			}
			if p > 0 && k.Layout == decode.Gray {
				break
			}
			f.Planes[p] = makePlane(w, h, uint16(1<<bits-1), func(x, y int) uint16 { return value(i, p, x, y) })
		}
		out = append(out, f)
	}
	return out
}

func makePlane(width, height int, poison uint16, value func(x, y int) uint16) decode.Plane {
	p := decode.Plane{Width: width, Height: height, Stride: width + padding}
	for y := range height {
		for x := range width {
			p.Samples = append(p.Samples, value(x, y))
		}
		for range padding {
			p.Samples = append(p.Samples, poison)
		}
	}
	return p
}

// Contents are extreme and random samples of a depth: "low" and "high" at one end of the codes;
// "board" and "flash" with the largest differences from frame to frame; "random", which reaches
// every code; "grainy", noise on flat surfaces and near the ceiling, as a camera makes it.
func Contents(bits int, seed uint64) map[string]Content {
	top := 1<<bits - 1
	at := func(frame, plane, x, y int) *rand.Rand {
		return rand.New(rand.NewPCG(seed, uint64(frame)<<48|uint64(plane)<<40|uint64(y)<<20|uint64(x)))
	}
	return map[string]Content{
		"low":   func(_, _, _, _ int) uint16 { return 0 },
		"high":  func(_, _, _, _ int) uint16 { return uint16(top) },
		"board": func(frame, _, x, y int) uint16 { return uint16((frame + x + y) % 2 * top) },
		"flash": func(frame, _, _, _ int) uint16 { return uint16(frame % 2 * top) },
		"random": func(frame, plane, x, y int) uint16 {
			return uint16(at(frame, plane, x, y).IntN(top + 1))
		},
		"grainy": func(frame, plane, x, y int) uint16 {
			if plane > 0 {
				return uint16(top/2 + at(frame, plane, x, y).IntN(top/32+1))
			}
			level := float64(top) * (0.2 + 0.75*float64(x/16%3)/2)
			v := level + float64(top)/100*at(frame, plane, x, y).NormFloat64()
			return uint16(min(max(v, 0), float64(top)))
		},
	}
}
