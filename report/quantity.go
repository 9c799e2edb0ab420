package report

import (
	"math"
	"strconv"
)

// One function formats each quantity, here and nowhere else, so that text, pages and sentences
// agree. Each rounds first and chooses sign and words from the rounded number: what prints as
// 0.0 is neither over nor under. A number that is NaN or infinite prints as Absent.

// Absent stands in a table where a number could not be measured.
const Absent = "-"

// StopsDigits returns how many decimals a value in stops deserves, 1 or 2, from its 95 %
// interval: two where half the interval prints as less than a tenth of a stop.
func StopsDigits(low, high float64) int {
	if half := (high - low) / 2; half >= 0 && half < 0.095 {
		return 2
	}
	return 1
}

// SignedStops formats a difference or a level in stops: "+1.3 stops", "-8.0 stops".
func SignedStops(stops float64, digits int) string { return decimal(stops, digits, true, " stops") }

// PlainStops formats an amount of stops whose direction a word tells: "1.3 stops".
func PlainStops(stops float64, digits int) string { return decimal(stops, digits, false, " stops") }

// Decibels formats a signal-to-noise ratio: "31 dB".
func Decibels(db float64) string { return decimal(db, 0, false, " dB") }

// SignedDecibels formats a difference of signal-to-noise ratios: "+9 dB".
func SignedDecibels(db float64) string { return decimal(db, 0, true, " dB") }

// Percent formats a video level in percent: "54.9 %".
func Percent(level float64) string { return decimal(level, 1, false, " %") }

// Code formats a recorded code on the 10-bit scale: "512".
func Code(code float64) string { return decimal(code, 0, false, "") }

// Seconds formats a time within a clip: "3.4 s".
func Seconds(s float64) string { return decimal(s, 1, false, " s") }

// Share formats a share of the frame, 0..1, in percent: "0 %", "<0.1 %", "4.1 %", "12 %".
func Share(share float64) string {
	switch percent := share * 100; {
	case percent > 0 && percent < 0.05:
		return "<0.1 %"
	case percent == 0:
		return "0 %"
	case percent < 9.95:
		return decimal(percent, 1, false, " %")
	default:
		return decimal(percent, 0, false, " %")
	}
}

// roundTo rounds half away from zero to a number of decimals; the result is never -0.
func roundTo(v float64, digits int) float64 {
	scale := math.Pow10(digits)
	r := math.Round(v*scale) / scale
	if math.IsInf(r, 0) {
		r = v // beyond the scale there are no decimals to round
	}
	if r == 0 {
		return 0
	}
	return r
}

// decimal formats a number rounded to digits decimals with its unit; signed puts + before what
// is not negative.
func decimal(v float64, digits int, signed bool, unit string) string {
	if !finite(v) {
		return Absent
	}
	v = roundTo(v, digits)
	s := strconv.FormatFloat(v, 'f', digits, 64) + unit
	if signed && v >= 0 {
		return "+" + s
	}
	return s
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// known returns the number behind p and whether there is one.
func known(p *float64) (float64, bool) {
	if p == nil || !finite(*p) {
		return 0, false
	}
	return *p, true
}
