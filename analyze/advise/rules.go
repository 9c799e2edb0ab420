package advise

import (
	"fmt"
	"strings"

	"stopledger/analyze/rule"
	"stopledger/curve"
)

// ruleFindings judge a clip by the user's rules. What rests on a grey that is in doubt cannot be told.
func ruleFindings(f Facts, doubted bool) (out []Finding) {
	if len(f.Rules) == 0 {
		return nil
	}
	name, _, _ := strings.Cut(f.Reading.Curve.Name, " EI")
	clip := rule.Clip{Meant: f.meant(), Curve: name, Assumed: f.Assumed, Camera: f.Camera, Rate: f.Rate,
		Placement: figure(greyEstimate(f.Placement), "grey"), Clipped: figure(anyEstimate(f.Clipping), "the clipped share"),
		MayClip: f.Clipping.Undecided}
	why := ""
	switch {
	case f.usable() == nil:
		why = "no grey was found that is sure"
	case doubted:
		why = "the level of grey is in doubt"
	}
	if why != "" {
		clip.Placement = rule.Figure{Unknown: why}
	}
	clip.SNR = func(tone curve.Stops) rule.Figure {
		switch {
		case f.Noise.Suppressed:
			return rule.Figure{Unknown: "the recording hides the camera's noise"}
		case f.Noise.Unmeasured != "":
			return rule.Figure{Unknown: "the noise cannot be measured"}
		case why != "":
			return rule.Figure{Unknown: why}
		}
		return figure(toneSNR(Measured{Placement: f.Placement, Noise: f.Noise}, tone), "the noise at that tone")
	}
	for _, found := range f.Rules.Judge(clip) {
		out = append(out, Finding{ID(found.ID), found.Level, found.Text})
	}
	return out
}

// figure is an estimate as rules judge it: only one with an interval tells.
func figure(e *Estimate, what string) rule.Figure {
	switch {
	case e == nil:
		return rule.Figure{Unknown: what + " was not measured"}
	case !e.Bounded():
		return rule.Figure{Unknown: "how well " + what + " is known cannot be told"}
	}
	return rule.Figure{Value: float64(e.Value), Low: float64(e.Low), High: float64(e.High)}
}

// relevel gives findings the levels that the rules give them, and says by which where the finding
// names none.
func relevel(findings []Finding, rules rule.Asked) {
	for i := range findings {
		found := &findings[i]
		level, by := rules.LevelOf(string(found.ID))
		if level == "" || level == found.Level {
			continue
		}
		found.Level = level
		if !found.ID.ofRule() {
			found.Text += fmt.Sprintf(" Rule %q makes it %s.", by, levelWords[level])
		}
	}
}

var levelWords = map[Level]string{Note: "a note", Caution: "a caution", Alarm: "an alarm"}
