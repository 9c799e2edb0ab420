package metadata

import (
	"fmt"
	"slices"
)

// firstTag is the trust rank from which on a claim is only a colour tag.
const firstTag = 5

// choose sorts claims by trust and picks the one to go by. Statements of the camera that
// contradict each other are reported and none is chosen. Colour tags are asked only where the
// camera says nothing.
func choose(claims []Claim) (chosen *Claim, conflicts []string) {
	slices.SortStableFunc(claims, func(a, b Claim) int { return a.Origin.Trust() - b.Origin.Trust() })
	tags := slices.IndexFunc(claims, func(c Claim) bool { return c.Origin.Trust() >= firstTag })
	asked := claims
	if tags > 0 {
		asked = claims[:tags]
	}
	if conflicts = contradictions(asked); len(conflicts) > 0 {
		return nil, conflicts
	}
	for i := range asked {
		switch asked[i].Kind {
		case KindCurve:
			picked := asked[i]
			return &picked, nil
		case KindDisplay:
			return nil, nil
		}
	}
	return nil, nil
}

func contradictions(claims []Claim) []string {
	var said []string
	for i, a := range claims {
		for _, b := range claims[i+1:] {
			if a.contradicts(b) {
				said = append(said, fmt.Sprintf("%s, but %s", a, b))
			}
		}
	}
	return said
}

// contradicts reports whether both claims cannot be true of one recording.
func (c Claim) contradicts(other Claim) bool {
	switch {
	case c.Kind == KindUnknown || other.Kind == KindUnknown:
		return false
	case c.Kind == other.Kind && c.Kind != KindCurve:
		return false
	case c.Kind == KindCurve:
		return !other.Allows(c.Curve)
	case other.Kind == KindCurve:
		return !c.Allows(other.Curve)
	}
	return true // an open log curve against a display gamma
}

// Allows reports whether the clip may have been recorded in the curve of a published name if the
// claim is true. A camera's display gamma may well be described as BT.709 elsewhere; a value that
// is not understood leaves room for any curve.
func (c Claim) Allows(curve string) bool {
	switch c.Kind {
	case KindCurve:
		return c.Curve == curve
	case KindDisplay:
		return curve == "BT.709"
	case KindOpen:
		return slices.Contains(c.Among, curve)
	}
	return true
}

// String returns the claim as a clause: `the clip's XML says S-Log3 (CaptureGammaEquation: s-log3)`.
func (c Claim) String() string {
	what := c.Curve
	if what == "" {
		what = string(c.Kind)
		switch c.Kind {
		case KindDisplay:
			what = "a curve that is not log"
		case KindOpen:
			what = "a log curve without saying which"
		case KindUnknown:
			what = "what is not understood"
		}
	}
	return fmt.Sprintf("%s says %s (%s: %s)", c.Origin.words(), what, c.Where, brief(c.Verbatim))
}

// brief cuts a value down to what fits a sentence.
func brief(verbatim string) string {
	const most = 80
	if letters := []rune(verbatim); len(letters) > most {
		return string(letters[:most]) + "..."
	}
	return verbatim
}

func (o Origin) words() string {
	switch o {
	case OriginAcquisition:
		return "the per-frame metadata"
	case OriginClipXML:
		return "the clip's XML"
	case OriginSidecar:
		return "the XML beside the clip"
	case OriginKey:
		return "a key of the container"
	case OriginMakerNote:
		return "the camera's note"
	case OriginDescriptor:
		return "the picture descriptor"
	}
	return "the colour tag"
}
