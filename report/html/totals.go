package html

import (
	"fmt"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// totals tells a shoot: in a headline what is to be checked by eye or could not be
// measured, then what else there is.
func totals(doc *report.Document) (head, rest string) {
	alarms, cautions := 0, 0
	changes := map[advise.Action][]curve.Stops{}
	for i := range doc.Clips {
		c := &doc.Clips[i]
		switch c.Advice.Worst() {
		case advise.Alarm:
			alarms++
		case advise.Caution:
			cautions++
		}
		change := changeOf(c)
		changes[change.Action] = append(changes[change.Action], change.Stops)
	}
	return headline(len(doc.Clips), alarms, len(doc.Failed), len(doc.NotReached)), text.Typeset(advise.Sentences(
		lookSentence(cautions),
		changeSentence(changes[advise.Pull], changes[advise.Lift]),
		notReachedSentence(len(doc.NotReached)),
		skippedSentence(doc.Skipped),
	))
}

func headline(clips, alarms, failed, notReached int) string {
	var head string
	switch {
	case clips == 0 && failed == 0:
		return "No clip was measured"
	case clips == 0:
		return fmt.Sprintf("No clip was measured: %d could not be", failed)
	case alarms == 0:
		head = text.Plural(clips, "clip") + " measured"
	case clips == 1:
		head = "Check the clip by eye"
	default:
		head = fmt.Sprintf("Check %d of %s by eye", alarms, text.Plural(clips, "clip"))
	}
	switch {
	case failed > 0:
		return fmt.Sprintf("%s; %d more could not be measured", head, failed)
	case alarms == 0 && notReached == 0:
		return head + ", none to check by eye"
	}
	return head
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

func changeSentence(pulls, lifts []curve.Stops) string {
	var parts []string
	if len(pulls) > 0 {
		parts = append(parts, fmt.Sprintf("%d to pull by %s", len(pulls), span(pulls)))
	}
	if len(lifts) > 0 {
		parts = append(parts, fmt.Sprintf("%d to lift by %s", len(lifts), span(lifts)))
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, ", ")
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// span says from the least to the greatest of some stops.
func span(stops []curve.Stops) string {
	low, high := stops[0], stops[0]
	for _, s := range stops {
		low, high = min(low, s), max(high, s)
	}
	if curve.Round(low, 1) == curve.Round(high, 1) {
		return low.Plain(1)
	}
	return text.Number(low, 1, "") + " to " + high.Plain(1)
}

// notReachedSentence tells of an audit that was interrupted.
func notReachedSentence(clips int) string {
	if clips == 0 {
		return ""
	}
	return text.Plural(clips, "clip") + " not reached before the audit was interrupted."
}
