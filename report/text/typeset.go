package text

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"stopledger/curve"
)

var (
	minusSign = regexp.MustCompile(`(^|[\s(≤±])-(\d)`)
	unitSpace = regexp.MustCompile(`(\d) (%|dB|stops?\b|s\b|Hz|fps|px)`)
)

// Typeset gives numbers in a text for a page a true minus sign and keeps them on one line with
// their unit.
func Typeset(s string) string {
	return unitSpace.ReplaceAllString(minusSign.ReplaceAllString(s, "$1−$2"), "$1\u00a0$2")
}

// Scientific prints a number that spans decades: "3.2 × 10⁻⁵".
func Scientific[T ~float64](v T) string {
	if !curve.Finite(v) {
		return curve.Absent
	}
	if v == 0 {
		return "0"
	}
	mantissa, power, _ := strings.Cut(strconv.FormatFloat(float64(v), 'e', 1, 64), "e")
	n, err := strconv.Atoi(power)
	if err != nil || math.Abs(float64(n)) <= 1 {
		return strconv.FormatFloat(float64(v), 'g', 2, 64)
	}
	return mantissa + " × 10" + Raised(n)
}

// Raised prints an exponent.
func Raised(n int) string { return raised.Replace(strconv.Itoa(n)) }

var raised = strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴",
	"5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")
