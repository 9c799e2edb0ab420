package metadata

import (
	"fmt"
	"math"

	"stopledger/curve"
)

// doubtCurve compares the curve that the clip is read in with everything its cameras and
// recorders say. Colour tags are left out: log clips carry any.
func (s *Settled) doubtCurve(r Record) {
	for _, claim := range r.Claims {
		if claim.Origin == OriginTransfer || !speaksAgainst(claim, s.Reading.Curve) {
			continue
		}
		says := claim.String()
		if claim.EI != nil {
			says += fmt.Sprintf(" at exposure index %.0f", float64(*claim.EI))
		}
		s.doubt(CurveDoubt, true, "%s makes it %s, but %s.", s.flagNamed(), s.Reading.Curve.Name, says)
	}
}

// flagNamed returns the flag that settled the curve; where the clip named it, the flag can have
// settled only the index.
func (s *Settled) flagNamed() string {
	switch s.CurveOrigin {
	case OriginFlag:
		return "--curve"
	case OriginAssumed:
		return "--assume"
	case OriginConfig:
		return "assume in the file of defaults"
	}
	return "--ei"
}

// speaksAgainst reports whether a claim speaks against a curve. Where names do not settle it,
// codes do: for the user's own curve, of a file, and for exposure indexes. Of a curve of the
// user's own a claim that leaves open which log curve it is says nothing.
func speaksAgainst(claim Claim, c *curve.Curve) bool {
	_, err := curve.Find(c.Name)
	own, named := err != nil, claim.Allows(withoutIndex(c))
	switch {
	case claim.Kind == KindCurve && (own || named && claim.EI != nil):
		claimed, err := claimedCurve(claim)
		return err != nil || !sameCodes(claimed, c)
	case claim.Kind == KindOpen && own:
		return false
	}
	return !named
}

// claimedCurve returns the curve that a claim names, at its exposure index.
func claimedCurve(claim Claim) (*curve.Curve, error) {
	c, err := curve.Find(claim.Curve)
	if err != nil || claim.EI == nil || c.Indexes() == nil {
		return c, err
	}
	return c.WithIndex(int(math.Round(float64(*claim.EI))))
}

// mostCodesApart is how far two curves may differ, in 10-bit codes, and count as one: the same
// curve out of a table of 8-bit or rounded values.
const mostCodesApart = 2

// sameCodes reports whether two curves record the same light, from shadows to highlights, at the
// same codes.
func sameCodes(a, b *curve.Curve) bool {
	code := func(c *curve.Curve, stops curve.Stops) float64 {
		r := curve.Reading{Curve: c, Bits: 10}
		return float64(r.Code(r.CodeOf(stops.Light())))
	}
	for stops := curve.Stops(-4); stops <= 4; stops++ {
		if !(math.Abs(code(a, stops)-code(b, stops)) <= mostCodesApart) {
			return false
		}
	}
	return true
}

// doubtMetadata tells where colour tags differ, which matters where the curve rests on them, and
// what of the metadata could not be read.
func (s *Settled) doubtMetadata(r Record) {
	id, caution := TagDoubt, false
	if s.CurveOrigin == OriginTransfer {
		id, caution = CurveDoubt, true
	}
	for _, d := range r.TagsDiffer {
		s.doubt(id, caution, "Colour tags differ: %s.", d)
	}
	if n := len(r.Problems); n > 0 {
		const damaged = "Some of its metadata could not be read: %.200s%s."
		s.doubt(MetadataDamaged, false, damaged, r.Problems[0], andMore(n-1))
	}
}
