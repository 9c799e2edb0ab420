package report

import (
	"math"
	"path/filepath"
	"strings"

	"stopledger/curve"
)

// Verdict says in a few sentences what was found out about a clip and what to do: where grey
// landed, the pull or lift and what the shadows then carry, and what clipped. It only words the
// numbers of the clip: what is null or untrustworthy is left out or said to be missing, and what
// rounds to nothing is never called over, under, a pull or a lift.
func Verdict(c Clip) string {
	return joinSentences(
		assumption(c.Curve),
		greySentence(c.Placement),
		adviceSentence(c),
		suppressedSentence(c.Noise),
		highlightSentence(c),
		lostSentence(c.Sampling),
	)
}

// NeedsPerson reports whether somebody has to look at the clip: it has a finding at level alarm.
func NeedsPerson(c Clip) bool { return worstLevel(c) == "alarm" }

// worstLevel returns the highest level among the clip's findings: alarm, caution, note or "".
func worstLevel(c Clip) string {
	worst := ""
	for _, f := range c.Advice.Findings {
		if levelRank[f.Level] > levelRank[worst] {
			worst = f.Level
		}
	}
	return worst
}

var levelRank = map[string]int{"": 0, "note": 1, "caution": 2, "alarm": 3}

func assumption(c Curve) string {
	if !c.Assumed {
		return ""
	}
	return "Read as " + c.Name + ", an assumed curve on which every number rests."
}

var greySubject = map[string]string{
	"region": "Grey in the region",
	"card":   "Grey card",
	"chart":  "Chart's grey",
	"face":   "Grey judged by the face",
	"scene":  "Scene average",
}

func greySentence(p *Placement) string {
	if p == nil || !finite(p.Stops) {
		return "No grey was found, so there is no ground for a pull or a lift."
	}
	subject, found := greySubject[p.Method]
	if !found {
		subject = "Grey"
	}
	if p.Carried != "" {
		subject = "Grey carried from " + filepath.Base(p.Carried)
	}
	s := subject + " " + overUnder(p.Stops, placementDigits(p))
	if finite(p.Percent) {
		s += " (" + patchWords(p) + Percent(p.Percent) + ")"
	}
	if p.Weak {
		s += ", weak evidence of where grey is"
	}
	return s + "."
}

// patchWords names what was measured where it was not of mid grey, whose level the percent then
// is not.
func patchWords(p *Placement) string {
	switch {
	case p.Reflectance <= 0 || math.Abs(p.Reflectance-curve.MidGrey) < 0.005:
		return ""
	case p.Method == "face":
		return "skin, taken for " + Share(p.Reflectance) + " reflectance, at "
	}
	return "its patch of " + Share(p.Reflectance) + " reflectance at "
}

func placementDigits(p *Placement) int {
	if p == nil {
		return 1
	}
	return StopsDigits(p.Low, p.High)
}

// overUnder says where grey lies from nominal: "1.65 stops over", "at nominal".
func overUnder(stops float64, digits int) string {
	switch r := roundTo(stops, digits); {
	case r > 0:
		return PlainStops(r, digits) + " over"
	case r < 0:
		return PlainStops(-r, digits) + " under"
	}
	return "at nominal"
}

// correction returns what the advice comes to once its stops are rounded as they are printed:
// a pull or lift of 0.0 is a hold.
func correction(c Clip) (action string, stops float64, digits int) {
	digits = placementDigits(c.Placement)
	stops = roundTo(c.Advice.Stops, digits)
	if !finite(stops) || stops <= 0 || (c.Advice.Action != "pull" && c.Advice.Action != "lift") {
		return "hold", 0, digits
	}
	return c.Advice.Action, stops, digits
}

func adviceSentence(c Clip) string {
	action, stops, digits := correction(c)
	switch {
	case action == "pull":
		return "Pull " + PlainStops(stops, digits) + " before the display transform" + shadowClause(c, "then carry") + "."
	case action == "lift":
		return "Lift " + PlainStops(stops, digits) + " before the display transform" + shadowClause(c, "then carry") + "."
	case c.Placement == nil:
		return ""
	case c.Placement.Weak:
		return "No pull or lift is advised on that alone."
	}
	return "Hold: no pull or lift is needed" + shadowClause(c, "carry") + "."
}

// shadowClause tells the noise four stops under grey after the correction, or nothing where it
// was not measured or the recording hides it.
func shadowClause(c Clip, verb string) string {
	snr, ok := known(c.Advice.After.SNR)
	if !ok || c.Noise.Suppressed {
		return ""
	}
	s := "; shadows at -4 stops " + verb + " " + Decibels(snr)
	gain, ok := known(c.Advice.After.GainDB)
	switch r := roundTo(gain, 0); {
	case !ok:
	case r > 0:
		s += ", " + Decibels(r) + " more than at nominal"
	case r < 0:
		s += ", " + Decibels(-r) + " less than at nominal"
	default:
		s += ", as much as at nominal"
	}
	return s
}

func suppressedSentence(n Noise) string {
	if !n.Suppressed {
		return ""
	}
	return "The recorded noise understates the camera's, so no shadow figure is given."
}

func lostSentence(s Sampling) string {
	switch {
	case s.FramesLost <= 0:
		return ""
	case s.FramesLost == 1:
		return "One frame could not be decoded."
	}
	return decimal(float64(s.FramesLost), 0, false, "") + " frames could not be decoded."
}

func joinSentences(sentences ...string) string {
	kept := sentences[:0]
	for _, s := range sentences {
		if s != "" {
			kept = append(kept, s)
		}
	}
	return strings.Join(kept, " ")
}
