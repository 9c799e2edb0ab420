package html

import (
	"fmt"
	"strconv"
	"strings"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// methodFacts say how a clip was measured: which frames, through which curve, with which
// settings.
func methodFacts(c *report.Clip, s analyze.Settings) facts {
	curveNote := joined(", ", "from the "+string(c.Curve.Origin), c.Curve.Source)
	if c.Curve.Assumed {
		curveNote = "assumed, and every number rests on it; " + c.Curve.Source
	}
	target := s.Target
	if c.Advice.Target != nil { // its rules may name another
		target = *c.Advice.Target
	}
	ceiling := c.Highlights.Ceiling
	grey := c.Curve.MidGrey
	list := facts{
		{"Frames", samplingWords(c), ""},
		{"Curve", c.Curve.Name, curveNote},
		{"Nominal grey", codeWords(grey.Code), grey.Percent.String()},
		{"Range", c.Range.Value, string(c.Range.Origin)},
		{"Matrix", c.Matrix.Value, string(c.Matrix.Origin)},
		{"Ceiling", codeWords(ceiling.Code), ceilingNote(ceiling)},
		{"Samples", joined(", ", c.PixelFormat, strconv.Itoa(c.Bits)+" bits", c.Chroma), c.Container},
		{"Target", targetWords(target), "where grey should lie"},
		{"Exposed for", intendedWords(c.Advice.Intended), "on purpose: the clip is judged by it"},
		displayFact(c.Advice.After.Display),
		{"Rules", strings.Join(c.Advice.Rules, ", "), rulesNote(s)},
		{"Grey by", string(s.Grey), "reflectance " + text.Number(s.Reflectance*100, 0, " %")},
	}
	kept := list[:0]
	for _, f := range list {
		if f.Value != "" {
			kept = append(kept, fact{f.Label, typeset(f.Value), typeset(f.Note)})
		}
	}
	return kept
}

// codeWords is a code, "" where it is not known.
func codeWords(c curve.Code) string {
	if !curve.Finite(c) {
		return ""
	}
	return "code " + c.String()
}

func samplingWords(c *report.Clip) string {
	s := c.Sampling
	words := text.Plural(s.FramesMeasured, "frame") + " measured"
	if c.Frames > 0 {
		words = fmt.Sprintf("%d of %s measured", s.FramesMeasured, text.Plural(c.Frames, "frame"))
	}
	if s.Mode == report.Groups && s.Groups > 0 {
		words += " in " + text.Plural(s.Groups, "group")
	}
	if s.FramesLost > 0 {
		words += fmt.Sprintf(", %d lost", s.FramesLost)
	}
	return words
}

func ceilingNote(c clipping.Ceiling) string {
	switch c.Origin {
	case clipping.Measured:
		return c.Percent.String() + ", measured in this clip"
	case clipping.Shoulder:
		return c.Percent.String() + ", where the recording is seen to roll off"
	}
	return joined(", from the ", c.Percent.String(), string(c.Origin))
}

// intendedWords is the offset exposed at on purpose, "" where none is named.
func intendedWords(stops *curve.Stops) string {
	if stops == nil {
		return ""
	}
	return targetWords(*stops)
}

// rulesNote names the file of the rules.
func rulesNote(s analyze.Settings) string {
	if s.Rules == nil {
		return ""
	}
	return "from " + s.Rules.File
}

func targetWords(stops curve.Stops) string {
	if curve.Round(stops, 1) == 0 {
		return "nominal"
	}
	return stops.Signed(1)
}

// displayFact says what the display file is and where it puts grey.
func displayFact(d *advise.OnDisplay) fact {
	if d == nil {
		return fact{}
	}
	takes := "takes the curve’s own values"
	if d.Domain == curve.VideoDomain {
		takes = "takes video levels"
	}
	note := joined("; ", takes, "made for grey at "+targetWords(d.Expects)+", which shows at "+whole(d.Nominal)+
		" of its white", "its SHA-256 begins "+d.Digest[:min(len(d.Digest), 12)])
	return fact{"Display", displayName(d.File), note}
}
