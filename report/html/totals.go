package html

import (
	"fmt"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// totals count the clips of a shoot.
type totals struct {
	clips   int
	states  map[string]int // by the key of a status
	changes map[advise.Action]changes
}

// changes are exposure changes of one kind.
type changes struct {
	clips     int
	low, high curve.Stops // from the least to the greatest
}

func (t *totals) add(c *report.Clip) {
	if t.clips++; t.clips == 1 {
		t.states, t.changes = map[string]int{}, map[advise.Action]changes{}
	}
	t.states[statusOf(c).Key]++
	change := changeOf(c)
	all := t.changes[change.Action]
	if all.clips++; all.clips == 1 {
		all.low, all.high = change.Stops, change.Stops
	}
	all.low, all.high = min(all.low, change.Stops), max(all.high, change.Stops)
	t.changes[change.Action] = all
}

// words tell a shoot: in a headline what is to be checked by eye or could not be
// measured, then what else there is.
func (t *totals) words(doc *report.Document) (head, rest string) {
	head = headline(t.clips, t.states["alarm"], doc)
	return head, text.Typeset(advise.Sentences(
		lookSentence(t.states["caution"]),
		changeSentence(t.changes[advise.Pull], t.changes[advise.Lift]),
		skippedSentence(doc.Skipped),
	))
}

// headline says what is to be checked by eye, and what has no figures at all.
func headline(clips, alarms int, doc *report.Document) string {
	head, measured := "No clip was measured", clips > 0
	switch {
	case measured && alarms == 0:
		head = text.Plural(clips, "clip") + " measured"
	case clips == 1:
		head = "Check the clip by eye"
	case measured:
		head = fmt.Sprintf("Check %d of %s by eye", alarms, text.Plural(clips, "clip"))
	}
	without := withoutFigures(doc, measured)
	switch {
	case without != "" && !measured:
		return head + ": " + without
	case without != "":
		return head + "; " + without
	case measured && alarms == 0:
		return head + ", none to check by eye"
	}
	return head
}

// withoutFigures counts what could not be measured, was not reached, and was skipped.
func withoutFigures(doc *report.Document, measured bool) string {
	var parts []string
	if n := len(doc.Failed); n > 0 && measured {
		parts = append(parts, fmt.Sprintf("%d more could not be measured", n))
	} else if n > 0 {
		parts = append(parts, fmt.Sprintf("%d could not be", n))
	}
	if n := len(doc.NotReached); n > 0 {
		parts = append(parts, fmt.Sprintf("%d not reached", n))
	}
	if n := len(doc.Skipped); n > 0 {
		parts = append(parts, fmt.Sprintf("%d skipped", n))
	}
	return strings.Join(parts, ", ")
}

// skippedSentence counts what was skipped.
func skippedSentence(all []report.Skip) string {
	parts := text.SkippedWords(all)
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, ", ") + "."
}

func lookSentence(cautions int) string {
	switch cautions {
	case 0:
		return ""
	case 1:
		return "1 more is worth a look."
	}
	return fmt.Sprintf("%d more are worth a look.", cautions)
}

func changeSentence(pulls, lifts changes) string {
	var parts []string
	if pulls.clips > 0 {
		parts = append(parts, fmt.Sprintf("%d to pull by %s", pulls.clips, pulls.span()))
	}
	if lifts.clips > 0 {
		parts = append(parts, fmt.Sprintf("%d to lift by %s", lifts.clips, lifts.span()))
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, ", ")
	return advise.Capital(s) + "."
}

// span says from the least to the greatest.
func (c changes) span() string {
	if curve.Round(c.low, 1) == curve.Round(c.high, 1) {
		return c.low.Plain(1)
	}
	return text.Number(c.low, 1, "") + " to " + c.high.Plain(1)
}
