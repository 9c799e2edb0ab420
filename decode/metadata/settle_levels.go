package metadata

import "stopledger/curve"

// chooseRange goes by the flag, then the stream's tag, then the container's. R'G'B' that says
// nothing is full range; Y'CbCr is what the curve's files are as a rule, nearly always narrow.
func (s *Settled) chooseRange(c *curve.Curve, stream Stream, r Record, asked RangeName) curve.Range {
	container := containerRange(r)
	name, origin := string(NameOf(c.Range)), OriginDefault
	if stream.RGB {
		name = string(FullRange)
	}
	switch {
	case asked == NarrowRange || asked == FullRange:
		name, origin = string(asked), OriginFlag
	case stream.Range != "":
		name, origin = stream.Range, rangeTag(stream)
	case container != "":
		name, origin = container, OriginTag
	}
	s.Range = Value{name, origin}
	s.doubtRange(stream, container)
	if name == string(FullRange) {
		return curve.Full
	}
	return curve.Narrow
}

// doubtRange compares the range that the clip is read in with what stream and container say. A
// user who names another knows that they say so.
func (s *Settled) doubtRange(stream Stream, container string) {
	caution := s.Range.Origin != OriginFlag
	for _, said := range []struct{ who, what string }{{"the stream", stream.Range}, {"the container", container}} {
		if said.what != "" && said.what != s.Range.Value {
			const differs = "The clip is read as %s range (%s), but %s says %s."
			s.doubt(RangeDoubt, caution, differs, s.Range.Value, s.Range.Origin, said.who, said.what)
		}
	}
}

// rangeTag tells a stream's tag from what its codec settles: ProRes has no place for a range
// and FFmpeg takes it for narrow (libavcodec/proresdec2.c).
func rangeTag(stream Stream) Origin {
	if stream.Codec == "prores" {
		return OriginCodec
	}
	return OriginTag
}

// containerRange returns what an MXF descriptor or a colr box says, or nothing.
func containerRange(r Record) string {
	if r.Levels != nil && r.Levels.Value != "" {
		return r.Levels.Value
	}
	if r.Colour != nil {
		return r.Colour.Range
	}
	return ""
}

// chooseMatrix goes by the flag, then the tag; BT.709 holds where nothing is said. Neutrals do
// not depend on it.
func (s *Settled) chooseMatrix(tag string, asked MatrixName) {
	matrix, origin := curve.BT709, OriginDefault
	if m, known := MatrixName(tag).Matrix(); known {
		matrix, origin = m, OriginTag
	}
	if m, known := asked.Matrix(); known {
		matrix, origin = m, OriginFlag
	}
	s.Matrix, s.MatrixFrom = matrix, Value{matrix.Name, origin}
}
