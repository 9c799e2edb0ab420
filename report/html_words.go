package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

var (
	minusSign = regexp.MustCompile(`(^|[\s(])-(\d)`)
	unitSpace = regexp.MustCompile(`(\d) (%|dB|stops?\b|s\b|Hz|fps|px)`)
)

// typeset gives numbers in a text a true minus sign and keeps them on one line with their unit.
func typeset(s string) string {
	return unitSpace.ReplaceAllString(minusSign.ReplaceAllString(s, "$1−$2"), "$1\u00a0$2")
}

func (g grid) typeset() grid {
	for _, row := range g.Rows {
		for i := range row {
			row[i] = typeset(Printable(row[i]))
		}
	}
	return g
}

// optional formats a number that may be missing.
func optional(v *float64, format func(float64) string) string {
	if n, ok := known(v); ok {
		return format(n)
	}
	return Absent
}

func signedStops2(v float64) string { return SignedStops(v, 2) }

func signedStops1(v float64) string { return SignedStops(v, 1) }

func decibels1(v float64) string { return decimal(v, 1, false, " dB") }

// intervalCell formats both ends of an interval.
func intervalCell(low, high *float64, format func(float64) string) string {
	l, ok1 := known(low)
	h, ok2 := known(high)
	if !ok1 || !ok2 {
		return Absent
	}
	return format(l) + " to " + format(h)
}

// sigmaCell is the noise of a tone in codes, or what it is below.
func sigmaCell(t Tone) string {
	if v, ok := known(t.SigmaCode); ok {
		return decimal(v, 2, false, "")
	}
	if v, ok := known(t.Below); ok {
		return "below " + decimal(v, 2, false, "")
	}
	return Absent
}

// scientific formats a number that spans decades: "3.2 × 10⁻⁵".
func scientific(v float64) string {
	if !finite(v) {
		return Absent
	}
	if v == 0 {
		return "0"
	}
	mantissa, power, _ := strings.Cut(strconv.FormatFloat(v, 'e', 1, 64), "e")
	n, err := strconv.Atoi(power)
	if err != nil || math.Abs(float64(n)) <= 1 {
		return strconv.FormatFloat(v, 'g', 2, 64)
	}
	return mantissa + " × 10" + raised.Replace(strconv.Itoa(n))
}

var raised = strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴",
	"5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")

// greySource says what told where grey is.
func greySource(p *Placement) string {
	if p.Carried != "" {
		return "carried"
	}
	switch p.Method {
	case "region":
		return "from the region"
	case "card":
		return "from the card"
	case "chart":
		return "from the chart"
	case "face":
		return "judged by a face"
	case "scene":
		return "scene average"
	}
	return Printable(p.Method)
}

// afterWords names the state after the advised correction.
func afterWords(c Clip) string {
	switch action, stops, digits := correction(c); action {
	case "pull":
		return "after a pull of " + PlainStops(stops, digits)
	case "lift":
		return "after a lift of " + PlainStops(stops, digits)
	}
	return "as recorded"
}
