package report

import (
	"fmt"
	"math"
	"strings"
)

// totals tells a shoot: in a headline whether anybody is needed, then what else there is.
func totals(doc *Document) (headline, rest string) {
	alarms, cautions := 0, 0
	var pulls, lifts []float64
	for _, c := range doc.Clips {
		switch worstLevel(c) {
		case "alarm":
			alarms++
		case "caution":
			cautions++
		}
		switch action, stops, _ := correction(c); action {
		case "pull":
			pulls = append(pulls, stops)
		case "lift":
			lifts = append(lifts, stops)
		}
	}
	return needHeadline(len(doc.Clips), alarms), typeset(joinSentences(
		lookSentence(cautions),
		changeSentence(pulls, lifts),
		failedSentence(len(doc.Failed), len(doc.Clips)),
	))
}

func needHeadline(clips, alarms int) string {
	switch {
	case clips == 0:
		return "No clip was measured"
	case alarms == 0 && clips == 1:
		return "The clip needs nobody"
	case alarms == 0:
		return "None of " + plural(clips, "clip") + " needs a person"
	case clips == 1:
		return "The clip needs a person"
	case alarms == 1:
		return "1 of " + plural(clips, "clip") + " needs a person"
	}
	return fmt.Sprintf("%d of %s need a person", alarms, plural(clips, "clip"))
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

func changeSentence(pulls, lifts []float64) string {
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
func span(stops []float64) string {
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range stops {
		low, high = math.Min(low, s), math.Max(high, s)
	}
	if roundTo(low, 1) == roundTo(high, 1) {
		return PlainStops(low, 1)
	}
	return decimal(low, 1, false, "") + " to " + PlainStops(high, 1)
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
