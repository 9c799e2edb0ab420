package adjust

import (
	"io"
	"math"
	"strconv"

	"stopledger/curve"
)

// What a correction in the Common LUT Format may lie off the exact one, in values of the domain.
const (
	logWithin   = 5e-6 // with Log nodes: what steps at joins cost
	tableWithin = 1e-5 // with a table, asked for
)

// CLF returns the change in the Common LUT Format, version 3 (Academy S-2014-006). Where its Log nodes
// can say the curve that is curve to linear, gain, linear to curve, without any clamp. Elsewhere it is a
// table of the whole change over all codes of the file, with an entry at each 10-bit code and evenly
// between, as many as make it 1e-5 (or else all that the format allows); codes beyond are clamped.
func (c Change) CLF() Correction {
	if k, ok := c.logNodes(); ok {
		if k.miss = c.overCodes(k, 2); k.off <= logWithin {
			return k
		}
	}
	const most = 64 // 65,473 entries of the 65,536 that are allowed
	for parts := 4; ; parts *= 4 {
		k := c.table(parts)
		if k.miss = c.overCodes(k, 4*parts); k.off <= tableWithin || parts == most {
			return k
		}
	}
}

// logNodes are a Log node to linear, a gain and a Log node back.
type logNodes struct {
	curve.CameraLog // on the scale of the domain
	shape           curve.Shape
	gain            float64
	miss
}

// logNodes returns the change as Log nodes say it; ok tells whether they can.
func (c Change) logNodes() (k logNodes, ok bool) {
	p, ok := c.Reading.Curve.CameraLog()
	if !ok {
		return k, false
	}
	s := c.scale()
	p.Gain, p.Offset, p.ToeGain = p.Gain*s.gain, s.at(p.Offset), p.ToeGain*s.gain
	log := curve.Log(p.Base, p.Gain, p.In, p.Lift, p.Offset)
	toe := curve.Line(p.ToeGain, log.Encode(p.Break)-p.ToeGain*p.Break)
	return logNodes{CameraLog: p, shape: curve.Join(toe, p.Break, log), gain: c.Stops.Gain()}, true
}

// Apply returns what a reader makes of a value.
func (k logNodes) Apply(v float64) float64 { return k.shape.Encode(k.gain * k.shape.Decode(v)) }

// Write writes the file.
func (k logNodes) Write(w io.Writer, l Label) error {
	p := beginCLF(w, l)
	p.logNode("cameraLogToLin", k.CameraLog)
	p.matrix(line{k.gain, 0})
	p.logNode("cameraLinToLog", k.CameraLog)
	p.line("</ProcessList>")
	return p.end()
}

// A tableNodes is a table between what makes codes of values, 0..1, and back.
type tableNodes struct {
	toCodes line
	entries []float64
	miss
}

// tableDigits are the decimals of an entry.
const tableDigits = 7

// table returns the change as a table with parts entries for each 10-bit code.
func (c Change) table(parts int) tableNodes {
	k := tableNodes{toCodes: c.toCodes(), entries: make([]float64, 1023*parts+1)}
	back := k.toCodes.inverse()
	for i := range k.entries {
		v := c.Apply(back.at(float64(i) / float64(len(k.entries)-1)))
		k.entries[i] = rounded(k.toCodes.at(v), tableDigits)
	}
	return k
}

// Apply returns what a reader makes of a value.
func (k tableNodes) Apply(v float64) float64 {
	return k.toCodes.inverse().at(lookUp(k.entries, k.toCodes.at(v)))
}

// lookUp is linear between the entries of a table over 0..1 and clamps beyond.
func lookUp(entries []float64, t float64) float64 {
	last := len(entries) - 1
	t = min(max(t, 0), 1) * float64(last)
	i := min(int(t), last-1)
	share := t - float64(i)
	return (1-share)*entries[i] + share*entries[i+1]
}

// Write writes the file.
func (k tableNodes) Write(w io.Writer, l Label) error {
	p := beginCLF(w, l)
	p.matrix(k.toCodes)
	p.line(`  <LUT1D inBitDepth="32f" outBitDepth="32f" interpolation="linear">`)
	p.line(`    <Array dim="`, strconv.Itoa(len(k.entries)), ` 1">`)
	for _, v := range k.entries {
		p.line(fixed(v, tableDigits))
	}
	p.line("    </Array>")
	p.line("  </LUT1D>")
	p.matrix(k.toCodes.inverse())
	p.line("</ProcessList>")
	return p.end()
}

func beginCLF(w io.Writer, l Label) *printer {
	p := newPrinter(w)
	p.line(`<?xml version="1.0" encoding="UTF-8"?>`)
	p.line(`<ProcessList id="`, escaped(l.ID), `" name="`, escaped(l.Name), `" compCLFversion="3"`,
		` xmlns="urn:AMPAS:CLF:v3.0">`)
	for _, s := range l.About {
		p.element("  ", "Description", s)
	}
	p.element("  ", "InputDescriptor", l.Values)
	p.element("  ", "OutputDescriptor", l.Values)
	return p
}

func (p *printer) logNode(style string, of curve.CameraLog) {
	p.line(`  <Log inBitDepth="32f" outBitDepth="32f" style="`, style, `">`)
	p.line(`    <LogParams base="`, exact(of.Base), `" logSideSlope="`, exact(of.Gain),
		`" logSideOffset="`, exact(of.Offset), `" linSideSlope="`, exact(of.In),
		`" linSideOffset="`, exact(of.Lift), `" linSideBreak="`, exact(of.Break),
		`" linearSlope="`, exact(of.ToeGain), `"/>`)
	p.line("  </Log>")
}

// matrix writes a Matrix that does the same to each channel, unless that is nothing.
func (p *printer) matrix(l line) {
	const nothing = 1e-13
	gain, offset := exact(l.gain), exact(l.offset)
	switch {
	case math.Abs(l.gain-1) < nothing && math.Abs(l.offset) < nothing:
		return
	case l.offset == 0:
		p.matrixOf("3 3", gain+" 0 0", "0 "+gain+" 0", "0 0 "+gain)
	default:
		p.matrixOf("3 4", gain+" 0 0 "+offset, "0 "+gain+" 0 "+offset, "0 0 "+gain+" "+offset)
	}
}

func (p *printer) matrixOf(dim string, rows ...string) {
	p.line(`  <Matrix inBitDepth="32f" outBitDepth="32f">`)
	p.line(`    <Array dim="`, dim, `">`)
	for _, r := range rows {
		p.line("      ", r)
	}
	p.line("    </Array>")
	p.line("  </Matrix>")
}
