package advise

import (
	"strings"

	"stopledger/analyze/placement"
)

// groundless says why takes cannot be weighed against each other, "" where they can. The tones of
// two takes are the same tones of the scene only where grey was found in each in the same way: a
// take without grey, one whose grey is weak evidence, or takes whose greys come from different kinds
// of evidence differ by what is not their exposure.
func groundless(takes []Measured) string {
	var missing, weak []string
	for i, m := range takes {
		switch name := takeName(i, m.Path); {
		case greyEstimate(m.Placement) == nil:
			missing = append(missing, name)
		case m.Placement.Weak:
			weak = append(weak, name)
		}
	}
	switch {
	case len(missing) > 0:
		return "no grey was found in " + listed(missing)
	case len(weak) > 0:
		return "the evidence of where grey is in " + listed(weak) + " is weak"
	}
	return unrelated(takes)
}

// strangers tells of takes that show another scene than the first, "" where none does.
func strangers(takes []Measured) string {
	var names []string
	for i, m := range takes {
		if m.Stranger {
			names = append(names, takeName(i, m.Path))
		}
	}
	if len(names) == 0 {
		return ""
	}
	verb := " shows"
	if len(names) > 1 {
		verb = " show"
	}
	return listed(names) + verb + " another scene than " + takeName(0, takes[0].Path)
}

// unrelated tells of takes whose greys come from different kinds of evidence, "" where all come from
// one.
func unrelated(takes []Measured) string {
	var kinds []placement.Method
	of := map[placement.Method][]string{}
	for i, m := range takes {
		kind := m.Placement.Method
		if of[kind] == nil {
			kinds = append(kinds, kind)
		}
		of[kind] = append(of[kind], takeName(i, m.Path))
	}
	if len(kinds) < 2 {
		return ""
	}
	var parts []string
	for _, kind := range kinds {
		parts = append(parts, evidence[kind]+" in "+listed(of[kind]))
	}
	return "grey rests on " + listed(parts)
}

// evidence names what grey rests on.
var evidence = map[placement.Method]string{
	placement.Region: "an area given", placement.Chart: "a chart", placement.Card: "a card",
	placement.Face: "a face", placement.Scene: "the scene's average",
}

// listed joins words: "A", "A and B", "A, B and C".
func listed(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
