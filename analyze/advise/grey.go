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

// greySentence says where grey landed: "Grey card 1.65 stops over (54.9 %)." Where it was exposed off
// nominal on purpose: "Grey card (54.9 %) exposed 1.65 stops over, as intended (1.5)."
func greySentence(f Facts) string {
	p := f.Placement
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
	percent := ""
	if curve.Finite(p.Percent) {
		percent = " (" + patchWords(p) + p.Percent.String() + ")"
	}
	where := overUnder(p.Stops, Decimals(p))
	switch {
	case p.Weak:
		return subject + " " + where + percent + ", weak evidence of where grey is."
	case f.Intended != nil:
		return subject + percent + " exposed " + where + ", " + intention(f, p) + "."
	}
	return subject + " " + where + percent + "."
}

// intention says how far grey lies from where it was meant to: "as intended (1.5)", "0.8 stops under
// the intended 1.5".
func intention(f Facts, p *placement.Placement) string {
	off := p.Stops - *f.Intended
	if over, under := f.tolerated(); off < over && off > -under {
		return fmt.Sprintf("as intended (%.1f)", curve.Round(*f.Intended, 1))
	}
	words := overUnder(off, 1) + " " + f.meantWords()
	if !apart(p, *f.Intended) {
		words += ", which is within what is known of it"
	}
	return words
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

// greyFindings point out where grey is unknown, or lies off where it is meant to. What is in doubt is
// told instead.
func greyFindings(f Facts, a Advice, doubted bool) []Finding {
	p := f.usable()
	switch {
	case p == nil:
		return []Finding{{GreyWeak, Note, weakGrey(f.Placement)}}
	case doubted || f.Intended == nil && a.Action == None || f.Intended != nil && !apart(p, *f.Intended):
		return nil
	}
	over, meant := p.Stops-f.meant(), f.meantWords()
	note, under := f.tolerated()
	switch {
	case over >= max(limit.GreyCaution, note):
		return []Finding{{GreyOver, Caution,
			fmt.Sprintf("Grey is %.1f stops over %s: more than exposing over nominal usually asks for.", over, meant)}}
	case over >= note:
		return []Finding{{GreyOver, Note, fmt.Sprintf("Grey is %.1f stops over %s.", over, meant)}}
	case f.Intended == nil && p.Stops <= -limit.UnderAlarm:
		return []Finding{{GreyUnder, Alarm,
			fmt.Sprintf("Grey is %.1f stops under nominal: lifting brings up the noise with it.", -p.Stops)}}
	case over <= -under:
		level := Caution
		if f.Intended != nil && over <= -limit.UnderAlarm {
			level = Alarm
		}
		return []Finding{{GreyUnder, level,
			fmt.Sprintf("Grey is %.1f stops under %s; lifting brings up the noise with it.", -over, meant)}}
	}
	return nil
}

// apart tells whether the whole of a placement's interval lies on one side of another placement.
func apart(p *placement.Placement, from curve.Stops) bool {
	return p.Low > from || p.High < from
}

// tolerated returns from how far over and under where it is meant to lie grey is pointed out.
func (f Facts) tolerated() (over, under curve.Stops) {
	if t := f.Rules.Tolerance(); t != nil {
		return *t, *t
	}
	return limit.GreyNote, limit.UnderCaution
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
