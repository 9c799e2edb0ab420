package main

import (
	"fmt"
	"math"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/decode/acquisition"
)

// doubtCurve compares the curve that the clip is read in with everything its cameras and
// recorders say. Colour tags are left out: log clips carry any.
func (w *way) doubtCurve(rec acquisition.Record) {
	for _, claim := range rec.Claims {
		if claim.Origin == acquisition.OriginTransfer || !contradicts(claim, w.reading.Curve) {
			continue
		}
		says := claim.String()
		if claim.EI != nil {
			says += fmt.Sprintf(" at exposure index %.0f", *claim.EI)
		}
		w.doubt("curve-doubt", analyze.Caution, "%s makes it %s, but %s.", w.flagNamed(), w.reading.Curve.Name, says)
	}
}

// flagNamed returns the flag that settled the curve; where the clip named it, the flag can have
// settled only the index.
func (w *way) flagNamed() string {
	switch w.curveOrigin {
	case fromFlag:
		return "--curve"
	case fromAssume:
		return "--assume"
	}
	return "--ei"
}

// contradicts reports whether a claim speaks against a curve. Where names do not settle it, codes
// do: for the user's own curve, of a file, and for exposure indexes. Of a curve of the user's own
// a claim that leaves open which log curve it is says nothing.
func contradicts(claim acquisition.Claim, c *curve.Curve) bool {
	_, err := curve.Find(c.Name)
	own, named := err != nil, claim.Allows(withoutIndex(c))
	switch {
	case claim.Kind == acquisition.KindCurve && (own || named && claim.EI != nil):
		claimed, err := claimedCurve(claim)
		return err != nil || !sameCodes(claimed, c)
	case claim.Kind == acquisition.KindOpen && own:
		return false
	}
	return !named
}

// claimedCurve returns the curve that a claim names, at its exposure index.
func claimedCurve(claim acquisition.Claim) (*curve.Curve, error) {
	c, err := curve.Find(claim.Curve)
	if err != nil || claim.EI == nil || c.Indexes() == nil {
		return c, err
	}
	return c.WithIndex(int(math.Round(*claim.EI)))
}

// mostCodesApart is how far two curves may differ, in 10-bit codes, and count as one: the same
// curve out of a table of 8-bit or rounded values.
const mostCodesApart = 2

// sameCodes reports whether two curves record the same light, from shadows to highlights, at the
// same codes.
func sameCodes(a, b *curve.Curve) bool {
	code := func(c *curve.Curve, stops float64) float64 {
		return curve.Reading{Curve: c, Bits: 10}.CodeOf(curve.FromStops(stops))
	}
	for stops := -4.0; stops <= 4; stops++ {
		if !(math.Abs(code(a, stops)-code(b, stops)) <= mostCodesApart) {
			return false
		}
	}
	return true
}

// doubtMetadata tells where colour tags differ, which matters where the curve rests on them, and
// what of the metadata could not be read.
func (w *way) doubtMetadata(rec acquisition.Record) {
	id, level := "tag-doubt", analyze.Note
	if w.curveOrigin == string(acquisition.OriginTransfer) {
		id, level = "curve-doubt", analyze.Caution
	}
	for _, d := range rec.TagsDiffer {
		w.doubt(id, level, "Colour tags differ: %s.", d)
	}
	if n := len(rec.Problems); n > 0 {
		w.doubt("metadata-damaged", analyze.Note, "Some of its metadata could not be read: %.200s%s.", rec.Problems[0], andMore(n-1))
	}
}

func andMore(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf(" (and %d more)", n)
}
