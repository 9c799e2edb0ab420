package advise

import (
	"fmt"
	"math"
	"path/filepath"

	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// Grey prints a placement: "+1.65 stops"; curve.Absent for none.
func Grey(p *placement.Placement) string {
	if p == nil {
		return curve.Absent
	}
	return p.Stops.Signed(Decimals(p))
}

// Source says what told where grey is: "from the card".
func Source(p *placement.Placement) string {
	if p.Carried != "" {
		return "carried"
	}
	switch p.Method {
	case placement.Region, placement.Card, placement.Chart:
		return "from the " + string(p.Method)
	case placement.Face:
		return "judged by a face"
	case placement.Scene:
		return "scene average"
	}
	return string(p.Method)
}

// subjects begin the sentence about grey.
var subjects = map[placement.Method]string{
	placement.Region: "Grey in the region",
	placement.Card:   "Grey card",
	placement.Chart:  "Chart's grey",
	placement.Face:   "Grey judged by the face",
	placement.Scene:  "Scene average",
}

// greySentence says where grey landed: "Grey card 1.65 stops over (54.9 %)."
func greySentence(p *placement.Placement) string {
	if p == nil || !curve.Finite(p.Stops) {
		return "No grey was found, so there is no ground for a pull or a lift."
	}
	subject, found := subjects[p.Method]
	if !found {
		subject = "Grey"
	}
	if p.Carried != "" {
		subject = "Grey carried from " + filepath.Base(p.Carried)
	}
	s := subject + " " + overUnder(p.Stops, Decimals(p))
	if curve.Finite(p.Percent) {
		s += " (" + patchWords(p) + p.Percent.String() + ")"
	}
	if p.Weak {
		s += ", weak evidence of where grey is"
	}
	return s + "."
}

// patchWords names what was measured where it was not of mid grey, whose level the percent then
// is not.
func patchWords(p *placement.Placement) string {
	reflectance := curve.Share(p.Reflectance).String()
	switch {
	case p.Reflectance <= 0 || math.Abs(float64(p.Reflectance)-curve.MidGrey) < 0.005:
		return ""
	case p.Method == placement.Face:
		return "skin, taken for " + reflectance + " reflectance, at "
	}
	return "its patch of " + reflectance + " reflectance at "
}

// overUnder says where grey lies from nominal: "1.65 stops over", "at nominal".
func overUnder(stops curve.Stops, decimals int) string {
	switch r := curve.Round(stops, decimals); {
	case r > 0:
		return r.Plain(decimals) + " over"
	case r < 0:
		return (-r).Plain(decimals) + " under"
	}
	return "at nominal"
}

// greyFindings point out where grey is unknown, or lies off the target.
func greyFindings(f Facts, a Advice) []Finding {
	p := f.usable()
	switch {
	case p == nil:
		return []Finding{{GreyWeak, Note, weakGrey(f.Placement)}}
	case a.Action == None: // a doubt is told instead
		return nil
	}
	over := p.Stops - f.Target
	switch {
	case over >= limit.GreyCaution:
		return []Finding{{GreyOver, Caution,
			fmt.Sprintf("Grey is %.1f stops over the target: more than exposing over nominal usually asks for.", over)}}
	case over >= limit.GreyNote:
		return []Finding{{GreyOver, Note, fmt.Sprintf("Grey is %.1f stops over the target.", over)}}
	case p.Stops <= -limit.UnderAlarm:
		return []Finding{{GreyUnder, Alarm,
			fmt.Sprintf("Grey is %.1f stops under nominal: lifting brings up the noise with it.", -p.Stops)}}
	case over <= -limit.UnderCaution:
		return []Finding{{GreyUnder, Caution,
			fmt.Sprintf("Grey is %.1f stops under the target; lifting brings up the noise with it.", -over)}}
	}
	return nil
}

// weakGrey says why a placement is no ground for a correction.
func weakGrey(p *placement.Placement) string {
	switch {
	case p == nil:
		return "No grey was found: name it with --region, or shoot a card."
	case p.Method == placement.Face:
		return "Placement rests on a face, and skin is not grey: " +
			"no ground for a correction unless --subject face is given."
	case p.Doubt == placement.Curve:
		return "The chart's greys do not lie as the curve says: no ground for a correction."
	case p.Doubt == placement.Disagree:
		return "Another card or chart says another exposure: no ground for a correction."
	case p.Method == placement.Card || p.Method == placement.Chart:
		return "What looks like a " + string(p.Method) + " is too uncertain to be the ground for a correction."
	}
	return "Placement is only the scene's average level: no ground for a correction."
}
