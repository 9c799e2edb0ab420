// Package adjust writes exposure changes of what a curve recorded as files that programs apply: the Common
// LUT Format, cube tables, ASC CDL. It tells by how much each is off, and knows no clips.
package adjust

import (
	"io"
	"math"

	"stopledger/curve"
)

// A Change is an exposure change of what a curve recorded, as a program makes it of the values that it
// hands to a file.
type Change struct {
	Reading curve.Reading // of the recording
	Domain  curve.Domain  // what 0..1 stands for
	Stops   curve.Stops   // of scene-linear light; - darkens
}

// A Correction is a change as one format says it. Where the format cannot say it exactly, ErrorAt tells
// by how much it is off.
type Correction interface {
	// Apply returns what a reader of the file makes of a value.
	Apply(v float64) float64
	// Write writes the file.
	Write(w io.Writer, l Label) error
}

// A Label is what a file says of itself.
type Label struct {
	ID     string   // unique among the corrections of a folder
	Name   string   // of the clip
	About  []string // sentences for people
	Values string   // what the values are that a program must hand to it
}

// encode returns the domain's value of scene-linear light, and decode the light of a value.
func (c Change) encode(light float64) float64 {
	return c.scale().at(c.Reading.Curve.Encode(curve.Light(light)))
}

func (c Change) decode(v float64) float64 {
	return float64(c.Reading.Curve.Decode(c.scale().inverse().at(v)))
}

// scale is the line from the curve's n to the domain's value.
func (c Change) scale() line {
	gain, offset := c.Reading.InDomain(c.Domain)
	return line{gain, offset}
}

// A line is v -> gain v + offset.
type line struct{ gain, offset float64 }

func (l line) at(v float64) float64 { return l.gain*v + l.offset }
func (l line) inverse() line        { return line{1 / l.gain, -l.offset / l.gain} }

// Apply returns the exact change of a value: f(2^stops f^-1(v)), f the curve in the domain.
func (c Change) Apply(v float64) float64 {
	return c.encode(c.Stops.Gain() * c.decode(v))
}

// ErrorAt returns by how much a correction misses the change at a tone, in recorded stops: + where the
// result is too bright, -Inf where it is no light at all. It is unknown for a tone above what the
// recording can hold.
func (c Change) ErrorAt(k Correction, recorded curve.Stops) curve.Stops {
	light := recorded.Light()
	if c.Reading.CodeOf(light) > c.Reading.Top() {
		return curve.Unknown[curve.Stops]()
	}
	got := c.decode(k.Apply(c.encode(float64(light))))
	return curve.Light(got).Stops() - recorded - c.Stops
}

// WorstError returns the largest error of a correction from one tone to another, in recorded stops, and
// the tone where it is; it is not negative.
func (c Change) WorstError(k Correction, from, to curve.Stops) (worst, at curve.Stops) {
	const step = 1.0 / 32
	for tone := from; tone <= to; tone += step {
		if e := curve.Stops(math.Abs(float64(c.ErrorAt(k, tone)))); e > worst {
			worst, at = e, tone
		}
	}
	return worst, at
}

// toCodes is the line from a value of the domain to where its code lies among those of the file, 0..1:
// code / 1023 on the 10-bit scale.
func (c Change) toCodes() line {
	share := func(n float64) float64 {
		code := c.Reading.Recorded(n)
		if c.Reading.Range == curve.Full {
			return float64(code) / float64(c.Reading.Codes()-1)
		}
		return float64(c.Reading.Code(code)) / 1023
	}
	s := c.scale()
	gain := (share(1) - share(0)) / s.gain
	return line{gain, share(0) - gain*s.offset}
}

// A miss is the largest error of a correction over a range of values, and the value where.
type miss struct{ off, at float64 }

func (m miss) furthest() miss { return m }

// Furthest returns how far a CLF or cube lies off the change anywhere among the file's codes, in codes of the
// 10-bit scale, and the code where: of a cube, among those it does not clamp. Where a curve's foot is vertical
// (N-Log, Apple Log, well below zero light) no table can follow a change, and this tells it.
func (c Change) Furthest(k Correction) (off, at curve.Code) {
	measured, ok := k.(interface{ furthest() miss })
	if !ok {
		return curve.Unknown[curve.Code](), curve.Unknown[curve.Code]()
	}
	m, codes := measured.furthest(), c.toCodes()
	return curve.Code(1023 * codes.gain * m.off), curve.Code(1023 * codes.at(m.at))
}

// overCodes looks for the largest error over all codes, at steps of 1 / (1023 parts) of them.
func (c Change) overCodes(k Correction, parts int) miss {
	back := c.toCodes().inverse()
	return c.over(k, back.at(0), back.at(1), 1023*parts)
}

// over looks at steps from a value to another.
func (c Change) over(k Correction, low, high float64, steps int) (m miss) {
	for i := range steps + 1 {
		v := low + (high-low)*float64(i)/float64(steps)
		if d := math.Abs(k.Apply(v) - c.Apply(v)); d > m.off {
			m = miss{d, v}
		}
	}
	return m
}
