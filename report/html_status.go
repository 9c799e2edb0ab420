package report

import (
	"cmp"
	"html/template"
	"slices"
)

// A status says whether a clip needs somebody. Its level is that of the worst finding.
type status struct {
	Level string // alarm, caution, note
	Words string
}

func statusOf(c Clip) status {
	switch worstLevel(c) {
	case "alarm":
		return status{"alarm", "Needs a person"}
	case "caution":
		return status{"caution", "Worth a look"}
	}
	return status{"note", "Nothing stands out"}
}

// icon returns the sign of a level. Each has a shape of its own, so that colour is not needed.
func icon(level string) template.HTML {
	switch level {
	case "alarm":
		return `<svg class="icon" viewBox="0 0 16 16" aria-hidden="true"><path d="M8 1 15.5 15H.5z"/><path class="in" d="M8 5.6v4.6M8 12v1.4"/></svg>`
	case "caution":
		return `<svg class="icon" viewBox="0 0 16 16" aria-hidden="true"><path d="M8 .8 15.2 8 8 15.2.8 8z"/></svg>`
	}
	return `<svg class="icon" viewBox="0 0 16 16" aria-hidden="true"><circle class="ring" cx="8" cy="8" r="5.6"/></svg>`
}

// findingsByLevel returns a clip's findings, the gravest first.
func findingsByLevel(c Clip) []Finding {
	list := slices.Clone(c.Advice.Findings)
	for i := range list {
		list[i].Text = typeset(Printable(list[i].Text))
	}
	slices.SortStableFunc(list, func(a, b Finding) int { return cmp.Compare(levelRank[b.Level], levelRank[a.Level]) })
	return list
}
