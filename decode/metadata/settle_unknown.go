package metadata

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"stopledger/curve"
)

// unknownCurve says what is known of the curve and how to name it.
func unknownCurve(path string, r Record) error {
	do := "name it with --curve (%s), or take a risk with --assume; stopledger curves lists all"
	if len(r.Conflicts) > 0 {
		do = "name the right one with --curve (%s)"
	}
	return &SettleError{Path: path, What: Printable(knownOfCurve(r)),
		Do: fmt.Sprintf(do, strings.Join(likelyCurves(r), ", "))}
}

// knownOfCurve words why none is chosen.
func knownOfCurve(r Record) string {
	const none = "no log curve is named in the file"
	switch {
	case len(r.Conflicts) > 0:
		return "its metadata contradict each other: " + r.Conflicts[0] + andMore(len(r.Conflicts)-1)
	case len(r.Claims) > 0:
		claim := r.Claims[0]
		if claim.Kind == KindOpen {
			return fmt.Sprintf("the curve is not known: %s, %s", claim, claim.Note)
		}
		return fmt.Sprintf("the curve is not known: %s", claim)
	case len(r.Problems) > 0:
		return fmt.Sprintf("%s, part of whose metadata could not be read: %.200s%s",
			none, r.Problems[0], andMore(len(r.Problems)-1))
	case len(r.Unknown) > 0:
		return fmt.Sprintf("%s, but it says what is not understood: %.200s%s",
			none, r.Unknown[0], andMore(len(r.Unknown)-1))
	}
	return none
}

// likelyCurves names curves, as they may be typed: those that the clip leaves to choose from, else
// those of the camera's maker, else common ones.
func likelyCurves(r Record) []string {
	var said []string
	for _, claim := range r.Claims {
		for _, name := range append([]string{claim.Curve}, claim.Among...) {
			if typed := curve.Fold(name); typed != "" && !slices.Contains(said, typed) {
				said = append(said, typed)
			}
		}
	}
	if len(said) > 0 {
		return said
	}
	if r.Camera != nil {
		words := wordsOf(r.Camera.Make + " " + r.Camera.Model)
		for _, m := range makers {
			if slices.Contains(words, m.word) {
				return m.curves
			}
		}
	}
	return []string{"slog3", "vlog", "logc3", "clog3", "flog2"}
}

// makers are words of makes and models as cameras write them, with the curves that their makers'
// documents publish.
var makers = []struct {
	word   string
	curves []string
}{
	{"sony", []string{"slog3", "slog2"}}, {"panasonic", []string{"vlog"}}, {"arri", []string{"logc3", "logc4"}},
	{"alexa", []string{"logc3", "logc4"}}, {"amira", []string{"logc3"}}, {"canon", []string{"clog", "clog2", "clog3"}},
	{"fujifilm", []string{"flog", "flog2"}}, {"nikon", []string{"nlog"}}, {"leica", []string{"llog"}},
	{"dji", []string{"dlog"}},
	{"apple", []string{"applelog"}}, {"red", []string{"log3g10"}}, {"blackmagic", []string{"filmgen5"}},
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) })
}
