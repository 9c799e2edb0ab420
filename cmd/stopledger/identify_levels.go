package main

import (
	"slices"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/acquisition"
	"stopledger/report"
)

// chooseRange goes by the flag, then the stream's tag, then the container's. R'G'B' that says
// nothing is full range; Y'CbCr is what the curve's files are as a rule, nearly always narrow.
func (w *way) chooseRange(c *curve.Curve, info decode.Info, rec acquisition.Record, s auditSettings) curve.Range {
	container := containerRange(rec)
	name, origin := rangeName(c.Range), fromDefault
	if info.Layout == decode.RGB {
		name = rangeName(curve.Full)
	}
	switch {
	case s.Range != nil:
		name, origin = rangeName(*s.Range), fromFlag
	case info.Range != "":
		name, origin = info.Range, rangeTag(info)
	case container != "":
		name, origin = container, fromTag
	}
	w.rangeOrigin = report.Origin{Value: name, Origin: origin}
	w.doubtRange(info, container)
	if name == rangeName(curve.Full) {
		return curve.Full
	}
	return curve.Narrow
}

// doubtRange compares the range that the clip is read in with what stream and container say. A
// user who names another knows that they say so.
func (w *way) doubtRange(info decode.Info, container string) {
	level := analyze.Caution
	if w.rangeOrigin.Origin == fromFlag {
		level = analyze.Note
	}
	for _, said := range []struct{ who, what string }{{"the stream", info.Range}, {"the container", container}} {
		if said.what != "" && said.what != w.rangeOrigin.Value {
			w.doubt("range-doubt", level, "The clip is read as %s range (%s), but %s says %s.", w.rangeOrigin.Value, w.rangeOrigin.Origin, said.who, said.what)
		}
	}
}

// rangeTag tells a stream's tag from what its codec settles: ProRes has no place for a range
// and FFmpeg takes it for narrow (libavcodec/proresdec2.c).
func rangeTag(info decode.Info) string {
	if info.Codec == "prores" {
		return fromCodec
	}
	return fromTag
}

// containerRange returns what an MXF descriptor or a colr box says, or nothing.
func containerRange(rec acquisition.Record) string {
	if rec.Levels != nil && rec.Levels.Value != "" {
		return rec.Levels.Value
	}
	if rec.Colour != nil {
		return rec.Colour.Range
	}
	return ""
}

func rangeName(r curve.Range) string {
	if r == curve.Full {
		return "full"
	}
	return "narrow"
}

// chooseMatrix goes by the flag, then the tag; BT.709 holds where nothing is said. Neutrals do
// not depend on it.
func (w *way) chooseMatrix(info decode.Info, s auditSettings) curve.Matrix {
	all := []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020}
	tagged := slices.IndexFunc(all, func(m curve.Matrix) bool { return m.Name == info.Matrix })
	matrix, origin := curve.BT709, fromDefault
	switch {
	case s.Matrix != nil:
		matrix, origin = *s.Matrix, fromFlag
	case tagged >= 0:
		matrix, origin = all[tagged], fromTag
	}
	w.matrixOrigin = report.Origin{Value: matrix.Name, Origin: origin}
	return matrix
}
