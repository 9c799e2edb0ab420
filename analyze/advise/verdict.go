package advise

import (
	"strconv"
	"strings"
)

// summary opens with what leaves no ground for a correction, if anything does, and says in a few
// sentences what was found out about a clip and what to do: where grey
// landed, the pull or lift and what the shadows are then worth, and what clipped. It only words the
// numbers: what is unknown or untrustworthy is left out or said to be missing, and what rounds to
// nothing is never called over, under, a pull or a lift.
func summary(f Facts, a Advice) string {
	return Sentences(
		openingDoubt(f, a),
		assumption(f),
		greySentence(f),
		changeSentence(f, a),
		confirmSentence(f.Placement),
		suppressedSentence(f.Noise),
		displaySentence(a.After.Display),
		clippedSentence(f.Clipping, a.Change(f.Placement), a.After.Ceiling),
		moreSentence(f.Clipping),
		lostSentence(f.Lost),
		brokenRules(a.Findings),
	)
}

// openingDoubt is the doubt for which no correction is advised.
func openingDoubt(f Facts, a Advice) string {
	if doubt := unsettled(a.Findings, f); doubt != nil {
		return doubt.Text
	}
	return ""
}

func assumption(f Facts) string {
	if !f.Assumed {
		return ""
	}
	return "Read as " + f.Reading.Curve.Name + ", an assumed curve on which every number rests."
}

// changeSentence says what to do about the exposure.
func changeSentence(f Facts, a Advice) string {
	switch c := a.Change(f.Placement); {
	case c.Action == Pull || c.Action == Lift:
		verb := Capital(string(c.Action))
		return verb + " " + c.Stops.Plain(c.Decimals) + " before the display transform" +
			shadowClause(f.Noise, a.After, "is then") + "."
	case f.Placement == nil:
		return ""
	case f.Placement.Weak:
		return "No pull or lift is advised on that alone."
	case c.Action == None:
		return "No pull or lift is advised until that is settled."
	}
	return "Hold: no pull or lift is needed" + shadowClause(f.Noise, a.After, "is") + "."
}

// lostSentence tells of frames that could not be decoded.
func lostSentence(frames int) string {
	switch {
	case frames <= 0:
		return ""
	case frames == 1:
		return "One frame could not be decoded."
	}
	return strconv.Itoa(frames) + " frames could not be decoded."
}

// brokenRules are the sentences of rules that are broken.
func brokenRules(findings []Finding) string {
	var broken []string
	for _, f := range findings {
		if f.ID.ofRule() && f.ID != RuleUnsure {
			broken = append(broken, f.Text)
		}
	}
	return Sentences(broken...)
}

// Sentences joins sentences with spaces, the empty ones left out.
func Sentences(sentences ...string) string {
	kept := make([]string, 0, len(sentences))
	for _, s := range sentences {
		if s != "" {
			kept = append(kept, s)
		}
	}
	return strings.Join(kept, " ")
}
