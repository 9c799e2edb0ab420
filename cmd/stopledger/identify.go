package main

import (
	"fmt"
	"slices"
	"strings"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/acquisition"
	"stopledger/report"
)

// A way is how one clip is to be read, each part with where it came from.
type way struct {
	reading curve.Reading
	matrix  curve.Matrix

	curveOrigin  string
	assumed      bool
	rangeOrigin  report.Origin
	matrixOrigin report.Origin
	doubts       []analyze.Finding
}

// Origins beside those of acquisition: what the user said, what the stream is tagged with, and
// what holds where nothing is said.
const (
	fromFlag    = "flag"
	fromTag     = "tag"
	fromDefault = "default"
	fromAssume  = "assumed"
)

// readClip finds out how a clip is to be read. A clip whose curve is not known is an error that
// says how to name it: a guess would shift every number by stops.
func readClip(info decode.Info, rec acquisition.Record, s auditSettings) (way, error) {
	var w way
	c, err := w.chooseCurve(info, rec, s)
	if err != nil {
		return way{}, err
	}
	w.reading = curve.Reading{Curve: c, Range: w.chooseRange(info, rec, s), Bits: info.Bits}
	w.matrix = w.chooseMatrix(info, s)
	return w, nil
}

func (w *way) chooseCurve(info decode.Info, rec acquisition.Record, s auditSettings) (*curve.Curve, error) {
	if s.Curve != nil {
		w.curveOrigin = fromFlag
		w.doubtFlag(rec, s.Curve)
		return s.Curve, nil
	}
	if rec.Curve != nil {
		w.curveOrigin = string(rec.Curve.Origin)
		return claimedCurve(info.Path, *rec.Curve, s.Index)
	}
	if s.Assume != nil {
		w.curveOrigin, w.assumed = fromAssume, true
		for _, conflict := range rec.Conflicts {
			w.doubt("Its metadata contradict each other: " + conflict + ".")
		}
		return s.Assume, nil
	}
	return nil, unknownCurve(info.Path, rec)
}

// claimedCurve returns the curve that the clip names, at its exposure index.
func claimedCurve(path string, claim acquisition.Claim, index int) (*curve.Curve, error) {
	c, err := curve.Find(claim.Curve)
	if err != nil {
		return nil, &decode.ClipError{Path: path, What: fmt.Sprintf("%s, which is not a curve known here", claim), Do: "name the curve with --curve", Err: err}
	}
	if index == 0 && claim.EI != nil {
		index = int(*claim.EI)
	}
	if index == 0 || c.Indexes() == nil {
		return c, nil
	}
	at, err := c.WithIndex(index)
	if err != nil {
		return nil, &decode.ClipError{Path: path, What: err.Error(), Do: "name the exposure index with --ei", Err: err}
	}
	return at, nil
}

// unknownCurve says what is known of the curve and how to name it.
func unknownCurve(path string, rec acquisition.Record) error {
	what := "no log curve is named in the file"
	switch {
	case len(rec.Conflicts) > 0:
		what = "the file contradicts itself: " + strings.Join(rec.Conflicts, "; ")
	case len(rec.Claims) > 0:
		what = "the curve is not known: " + rec.Claims[0].String()
		if rec.Claims[0].Note != "" {
			what += "; " + rec.Claims[0].Note
		}
	case len(rec.Unknown) > 0:
		what = "the file says " + strings.Join(rec.Unknown, ", ") + ", which is not known here"
	}
	do := "name it with --curve, or take a risk with --assume"
	if names := likelyCurves(rec); len(names) > 0 {
		do = fmt.Sprintf("name it with --curve (%s ...), or take a risk with --assume", strings.Join(names, ", "))
	}
	return &decode.ClipError{Path: path, What: strings.TrimSuffix(what, "."), Do: do + "; stopledger curves lists all"}
}

// likelyCurves names the curves that the camera's maker publishes, or common ones.
func likelyCurves(rec acquisition.Record) []string {
	if rec.Camera != nil {
		for _, m := range makers {
			if strings.Contains(strings.ToLower(rec.Camera.Make+" "+rec.Camera.Model), m.make) {
				return m.curves
			}
		}
	}
	return []string{"slog3", "vlog", "logc3", "clog3", "flog2"}
}

// makers are the makes, as cameras write them, with the curves that their documents publish.
var makers = []struct {
	make   string
	curves []string
}{
	{"sony", []string{"slog3", "slog2"}}, {"panasonic", []string{"vlog"}}, {"arri", []string{"logc3", "logc4"}},
	{"canon", []string{"canonlog", "canonlog2", "canonlog3"}}, {"fujifilm", []string{"flog", "flog2"}},
	{"nikon", []string{"nlog"}}, {"leica", []string{"llog"}}, {"dji", []string{"dlog"}}, {"apple", []string{"applelog"}},
	{"red", []string{"log3g10"}}, {"blackmagic", []string{"filmgen5"}},
}

// doubtFlag compares the curve the user named with what the clip says.
func (w *way) doubtFlag(rec acquisition.Record, named *curve.Curve) {
	for _, claim := range rec.Claims {
		if claim.Kind == acquisition.KindCurve && claim.Origin.Trust() < 5 && !strings.HasPrefix(named.Name, claim.Curve) {
			w.doubt(fmt.Sprintf("--curve names %s, but %s.", named.Name, claim))
			return
		}
	}
}

func (w *way) doubt(text string) {
	w.doubts = append(w.doubts, analyze.Finding{ID: "curve-doubt", Level: analyze.Caution, Text: text})
}

// chooseRange goes by the flag, then the stream's tag, then the container's; Y'CbCr that says
// nothing is narrow, as the video standards have it, and R'G'B' full.
func (w *way) chooseRange(info decode.Info, rec acquisition.Record, s auditSettings) curve.Range {
	container := containerRange(rec)
	name, origin := "narrow", fromDefault
	if info.Layout == decode.RGB {
		name = "full"
	}
	switch {
	case s.Range != nil:
		name, origin = rangeName(*s.Range), fromFlag
	case info.Range != "":
		name, origin = info.Range, fromTag
	case container != "":
		name, origin = container, fromTag
	}
	if container != "" && container != name {
		w.doubts = append(w.doubts, analyze.Finding{ID: "range-doubt", Level: analyze.Caution,
			Text: fmt.Sprintf("The container says %s range and the clip is read as %s (%s).", container, name, origin)})
	}
	w.rangeOrigin = report.Origin{Value: name, Origin: origin}
	if name == "full" {
		return curve.Full
	}
	return curve.Narrow
}

func containerRange(rec acquisition.Record) string {
	if rec.Levels != nil && rec.Levels.Value != "" {
		return rec.Levels.Value
	}
	if rec.Colour != nil {
		return rec.Colour.Range
	}
	return ""
}

func rangeName(r curve.Range) string {
	if r == curve.Full {
		return "full"
	}
	return "narrow"
}

// chooseMatrix goes by the flag, then the tag; BT.709 holds where nothing is said. Neutrals do
// not depend on it.
func (w *way) chooseMatrix(info decode.Info, s auditSettings) curve.Matrix {
	all := []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020}
	if s.Matrix != nil {
		w.matrixOrigin = report.Origin{Value: s.Matrix.Name, Origin: fromFlag}
		return *s.Matrix
	}
	if i := slices.IndexFunc(all, func(m curve.Matrix) bool { return m.Name == info.Matrix }); i >= 0 {
		w.matrixOrigin = report.Origin{Value: info.Matrix, Origin: fromTag}
		return all[i]
	}
	w.matrixOrigin = report.Origin{Value: curve.BT709.Name, Origin: fromDefault}
	return curve.BT709
}
