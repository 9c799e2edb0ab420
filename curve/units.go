package curve

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
)

// The quantities of the tool, each a type of its own over float64, so that two of them cannot be
// mixed by mistake. Only a Reading turns one of a file's into another. A quantity that was not
// measured is NaN; what is not finite is written to JSON as null and null is read as NaN. Each
// type owns how many digits it is written and printed with.
type (
	// Stops are factors of two of scene-linear light. What they count from (nominal grey, the
	// subject's grey, a difference) is said beside each field.
	Stops float64
	// Light is scene-linear light: 0.18 at the curve's nominal mid grey. It may be negative.
	Light float64
	// FileCode is a recorded code as the file holds it, at the file's own depth; not always whole.
	FileCode float64
	// Code is a recorded code on the 10-bit scale, as people quote it: file code / 2^(bits-10).
	Code float64
	// CodeVariance is a variance of codes, on the 10-bit scale squared.
	CodeVariance float64
	// Percent is a video level in percent, as zebras show it, or a level of a display's signal.
	Percent float64
	// Decibels are 20 log10 of a ratio of signal and noise.
	Decibels float64
	// Share is a share of the frame, or of another whole, 0..1.
	Share float64
	// Ratio is a number without a unit: a slope, a factor, a confidence.
	Ratio float64
	// Amount is a number whose unit is said beside it, where one list holds several quantities.
	Amount float64
	// Seconds are a time within a clip, or a length of time.
	Seconds float64
)

// Absent stands where a number could not be measured.
const Absent = "-"

// Finite tells whether a quantity was measured: it is neither NaN nor infinite.
func Finite[T ~float64](v T) bool { return !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0) }

// Unknown is the value of a quantity that was not measured.
func Unknown[T ~float64]() T { return T(math.NaN()) }

// Decimals written to JSON: four for levels and ratios, six for shares and times, which may be
// small; light and its errors, which span many decades, are written to five significant digits.
const (
	levelDecimals = 4
	fineDecimals  = 6
	lightDigits   = 5
)

func (v Stops) MarshalJSON() ([]byte, error)        { return marshal(float64(v), levelDecimals) }
func (v Code) MarshalJSON() ([]byte, error)         { return marshal(float64(v), levelDecimals) }
func (v CodeVariance) MarshalJSON() ([]byte, error) { return marshal(float64(v), levelDecimals) }
func (v Percent) MarshalJSON() ([]byte, error)      { return marshal(float64(v), levelDecimals) }
func (v Decibels) MarshalJSON() ([]byte, error)     { return marshal(float64(v), levelDecimals) }
func (v Ratio) MarshalJSON() ([]byte, error)        { return marshal(float64(v), levelDecimals) }
func (v Share) MarshalJSON() ([]byte, error)        { return marshal(float64(v), fineDecimals) }
func (v Amount) MarshalJSON() ([]byte, error)       { return marshal(float64(v), fineDecimals) }
func (v Seconds) MarshalJSON() ([]byte, error)      { return marshal(float64(v), fineDecimals) }

// MarshalJSON writes light to five significant digits, null where it is not finite.
func (v Light) MarshalJSON() ([]byte, error) {
	if !Finite(v) {
		return []byte("null"), nil
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(float64(v), 'e', lightDigits-1, 64), 64)
	if err != nil {
		rounded = float64(v) // rounded up beyond the largest number
	}
	return json.Marshal(rounded)
}

func (v *Stops) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Light) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Code) UnmarshalJSON(b []byte) error         { return unmarshal(b, v) }
func (v *CodeVariance) UnmarshalJSON(b []byte) error { return unmarshal(b, v) }
func (v *Percent) UnmarshalJSON(b []byte) error      { return unmarshal(b, v) }
func (v *Decibels) UnmarshalJSON(b []byte) error     { return unmarshal(b, v) }
func (v *Ratio) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Share) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Amount) UnmarshalJSON(b []byte) error       { return unmarshal(b, v) }
func (v *Seconds) UnmarshalJSON(b []byte) error      { return unmarshal(b, v) }

func marshal(v float64, decimals int) ([]byte, error) {
	if !Finite(v) {
		return []byte("null"), nil
	}
	return json.Marshal(Round(v, decimals))
}

func unmarshal[T ~float64](b []byte, v *T) error {
	if bytes.Equal(b, []byte("null")) {
		*v = Unknown[T]()
		return nil
	}
	var f float64
	if err := json.Unmarshal(b, &f); err != nil {
		return err
	}
	*v = T(f)
	return nil
}

// Round rounds half away from zero to a number of decimals; the result is never -0.
func Round[T ~float64](v T, decimals int) T {
	scale := math.Pow10(decimals)
	r := math.Round(float64(v)*scale) / scale
	if math.IsInf(r, 0) {
		return v // beyond the scale there are no decimals to round
	}
	return T(r + 0) // -0 + 0 is 0
}

// Plain prints an amount of stops whose direction a word tells: "1.3 stops".
func (v Stops) Plain(decimals int) string { return decimal(float64(v), decimals, false, " stops") }

// Signed prints a difference or a level in stops: "+1.3 stops", "-8.0 stops".
func (v Stops) Signed(decimals int) string { return decimal(float64(v), decimals, true, " stops") }

// String prints a signal-to-noise ratio in whole decibels: "31 dB".
func (v Decibels) String() string { return decimal(float64(v), 0, false, " dB") }

// Signed prints a difference of signal-to-noise ratios: "+9 dB".
func (v Decibels) Signed() string { return decimal(float64(v), 0, true, " dB") }

// String prints a video level: "54.9 %".
func (v Percent) String() string { return decimal(float64(v), 1, false, " %") }

// String prints a code on the 10-bit scale: "512".
func (v Code) String() string { return decimal(float64(v), 0, false, "") }

// String prints a time within a clip: "3.4 s".
func (v Seconds) String() string { return decimal(float64(v), 1, false, " s") }

// String prints a share in percent: "0 %", "<0.1 %", "4.1 %", "12 %".
func (v Share) String() string {
	switch percent := float64(v) * 100; {
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

// StopsDecimals returns how many decimals a value in stops deserves, 1 or 2, from its 95 %
// interval: two where half the interval prints as less than a tenth of a stop.
func StopsDecimals(low, high Stops) int {
	if half := (high - low) / 2; half >= 0 && half < 0.095 {
		return 2
	}
	return 1
}

// decimal prints a number rounded to decimals with its unit; signed puts + before what is not
// negative. The sign is that of the rounded number: what prints as 0.0 is neither over nor under.
func decimal(v float64, decimals int, signed bool, unit string) string {
	if !Finite(v) {
		return Absent
	}
	v = Round(v, decimals)
	s := strconv.FormatFloat(v, 'f', decimals, 64) + unit
	if signed && v >= 0 {
		return "+" + s
	}
	return s
}
