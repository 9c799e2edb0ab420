package adjust

import (
	"io"

	"stopledger/curve"
)

// A CDL is a change as a colour decision (ASC CDL 1.2): v -> clamp(v + Offset), the same in all
// channels, with slope, power and saturation 1 and the standard's clamp to 0..1. On a log curve that is
// nearly a change of exposure.
type CDL struct {
	Offset float64 // of the domain's values, six decimals
}

// cdlDigits are the decimals of its numbers. Some readers take no exponents and want digits on both
// sides of the point.
const cdlDigits = 6

// CDL returns the change as one offset, which brings the tone at a placement exactly to placement +
// stops: f(0.18 x 2^(placement + stops)) - f(0.18 x 2^placement), f the curve in the domain.
func (c Change) CDL(placement curve.Stops) CDL {
	at := func(p curve.Stops) float64 { return c.encode(float64(p.Light())) }
	return CDL{rounded(at(placement+c.Stops)-at(placement), cdlDigits)}
}

// Apply returns what a reader makes of a value.
func (d CDL) Apply(v float64) float64 { return min(max(v+d.Offset, 0), 1) }

// SOP returns slope, offset and power of R, G and B as they are written.
func (d CDL) SOP() (slope, offset, power [3]string) { return thrice(1), thrice(d.Offset), thrice(1) }

// Saturation is written as it is read.
func (d CDL) Saturation() string { return fixed(1, cdlDigits) }

func thrice(v float64) [3]string {
	s := fixed(v, cdlDigits)
	return [3]string{s, s, s}
}

// namespaceCDL is that of ASC CDL 1.2.
const namespaceCDL = "urn:ASC:CDL:v1.2"

// Write writes the file: one ColorCorrection.
func (d CDL) Write(w io.Writer, l Label) error {
	p := newPrinter(w)
	p.line(`<?xml version="1.0" encoding="UTF-8"?>`)
	p.correction("", ` xmlns="`+namespaceCDL+`"`, LabelledCDL{l, d})
	return p.end()
}

// A LabelledCDL is one of many.
type LabelledCDL struct {
	Label
	CDL
}

// WriteCCC writes a ColorCorrectionCollection; about are sentences of all.
func WriteCCC(w io.Writer, about []string, all []LabelledCDL) error {
	p := newPrinter(w)
	p.line(`<?xml version="1.0" encoding="UTF-8"?>`)
	p.line(`<ColorCorrectionCollection xmlns="`, namespaceCDL, `">`)
	for _, s := range about {
		p.element("  ", "Description", s)
	}
	for _, k := range all {
		p.correction("  ", "", k)
	}
	p.line("</ColorCorrectionCollection>")
	return p.end()
}

func (p *printer) correction(indent, attributes string, k LabelledCDL) {
	p.line(indent, `<ColorCorrection id="`, escaped(k.ID), `"`, attributes, ">")
	for _, s := range k.About {
		p.element(indent+"  ", "Description", s)
	}
	p.element(indent+"  ", "InputDescription", k.Values)
	p.line(indent, "  <SOPNode>")
	slope, offset, power := k.SOP()
	p.triple(indent, "Slope", slope)
	p.triple(indent, "Offset", offset)
	p.triple(indent, "Power", power)
	p.line(indent, "  </SOPNode>")
	p.line(indent, "  <SatNode>")
	p.element(indent+"    ", "Saturation", k.CDL.Saturation())
	p.line(indent, "  </SatNode>")
	p.line(indent, "</ColorCorrection>")
}

func (p *printer) triple(indent, name string, v [3]string) {
	p.line(indent, "    <", name, ">", v[0], " ", v[1], " ", v[2], "</", name, ">")
}
