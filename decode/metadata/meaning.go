package metadata

import (
	"slices"
	"strings"

	"stopledger/curve"
)

// A meaning is what a value comes down to.
type meaning struct {
	curve string
	kind  Kind
	among []string
	grade Grade
	note  string
}

var notUnderstood = meaning{kind: KindUnknown, grade: GradeMemory, note: "a value that is not known here"}

func curveOf(name string, g Grade) meaning { return meaning{curve: name, kind: KindCurve, grade: g} }

// displayGamma is a gamma that is known and is not a log curve.
func displayGamma(name string) meaning {
	return meaning{kind: KindDisplay, grade: GradeThirdParty, note: name + ": not a log curve"}
}

// openLog is a log curve that may turn out to be one of some, or whose recording no published
// document describes.
func openLog(name string, among ...string) meaning {
	note := name + ": a log curve that is not among the published ones"
	if len(among) > 0 {
		note = name + ": may be " + strings.Join(among, " or ")
	}
	return meaning{kind: KindOpen, grade: GradeThirdParty, among: among, note: note}
}

func (m meaning) because(note string) meaning { m.note = note; return m }
func (m meaning) graded(g Grade) meaning      { m.grade = g; return m }

// Curves returns every curve that Read may name, spelled as published.
func Curves() []string {
	return []string{"Apple Log", "BT.709", "Canon Log", "Canon Log 2", "Canon Log 3", "D-Log", "F-Log", "F-Log2",
		"Film Gen 5", "HLG", "L-Log", "Log3G10", "LogC3", "LogC4", "N-Log", "PQ", "S-Log2", "S-Log3", "V-Log"}
}

// spokenGammas are the words in which cameras and recorders name a gamma in XML and keys, folded.
// s-cinetone was seen in a camera's file; the others come from several independent reports.
var spokenGammas = foldKeys(map[string]meaning{
	"s-cinetone":        displayGamma("S-Cinetone").graded(GradeRead),
	"s-log3":            curveOf("S-Log3", GradeThirdParty),
	"s-log3-cine":       curveOf("S-Log3", GradeThirdParty),
	"s-log2":            curveOf("S-Log2", GradeThirdParty),
	"hlg":               curveOf("HLG", GradeThirdParty),
	"hlg1":              curveOf("HLG", GradeThirdParty),
	"hlg2":              curveOf("HLG", GradeThirdParty),
	"hlg3":              curveOf("HLG", GradeThirdParty),
	"rec2100-hlg":       curveOf("HLG", GradeThirdParty),
	"rec709":            displayGamma("Rec.709 of the camera"),
	"rec709-xvycc":      displayGamma("Rec.709 xvYCC"),
	"rec709-xvycc-cine": displayGamma("Rec.709 xvYCC, cine"),
	"bt709":             displayGamma("Rec.709 of the camera"),
	"still":             displayGamma("still"),
	"itu709":            displayGamma("ITU709"),
	"itu709-800":        displayGamma("ITU709 800 %"),
	"cine1":             displayGamma("CINE1"),
	"cine2":             displayGamma("CINE2"),
	"cine3":             displayGamma("CINE3"),
	"cine4":             displayGamma("CINE4"),
	"v-log":             curveOf("V-Log", GradeThirdParty),
	"v-logl": curveOf("V-Log", GradeThirdParty).because(
		"V-Log L: the same formula over a shorter range (common practice, no source)"),
	"cinelike_d":  displayGamma("Cinelike D"),
	"cinelike_d2": displayGamma("Cinelike D2"),
	"cinelike_v":  displayGamma("Cinelike V"),
	"cinelike_v2": displayGamma("Cinelike V2"),
	"natural":     displayGamma("Natural"),
	"like709":     displayGamma("Like709"),
	"apple log 2": openLog("Apple Log 2"),
	"s-log":       openLog("S-Log, the first of its name"),
	"logc":        openLog("LogC", "LogC3", "LogC4"),
	"pq":          curveOf("PQ", GradeInferred),
	"st2084":      curveOf("PQ", GradeInferred),
})

func foldKeys(names map[string]meaning) map[string]meaning {
	folded := make(map[string]meaning, len(names))
	for n, m := range names {
		folded[curve.Fold(n)] = m
	}
	return folded
}

// spoken returns the meaning of a gamma's name: a word seen in files, else a published name.
func spoken(name string) meaning {
	word := curve.Fold(name)
	if m, ok := spokenGammas[word]; ok {
		return m
	}
	i := slices.IndexFunc(Curves(), func(c string) bool { return curve.Fold(c) == word })
	if i < 0 {
		return notUnderstood
	}
	return curveOf(Curves()[i], GradeInferred)
}
