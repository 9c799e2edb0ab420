package html

import (
	"fmt"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// totals tells a shoot: in a headline whether anybody is needed, then what else there is.
func totals(doc *report.Document) (headline, rest string) {
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
	return needHeadline(len(doc.Clips), alarms), text.Typeset(advise.Sentences(
		lookSentence(cautions),
		changeSentence(changes[advise.Pull], changes[advise.Lift]),
		failedSentence(len(doc.Failed), len(doc.Clips)),
		notReachedSentence(len(doc.NotReached)),
	))
}

func needHeadline(clips, alarms int) string {
	switch {
	case clips == 0:
		return "No clip was measured"
	case alarms == 0 && clips == 1:
		return "The clip needs nobody"
	case alarms == 0:
		return "None of " + text.Plural(clips, "clip") + " needs a person"
	case clips == 1:
		return "The clip needs a person"
	case alarms == 1:
		return "1 of " + text.Plural(clips, "clip") + " needs a person"
	}
	return fmt.Sprintf("%d of %s need a person", alarms, text.Plural(clips, "clip"))
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

func failedSentence(failed, measured int) string {
	more := ""
	if measured > 0 {
		more = " more"
	}
	if failed == 0 {
		return ""
	}
	return fmt.Sprintf("%d%s could not be measured.", failed, more)
}

// notReachedSentence tells of an audit that was interrupted.
func notReachedSentence(clips int) string {
	if clips == 0 {
		return ""
	}
	return text.Plural(clips, "clip") + " not reached before the audit was interrupted."
}
