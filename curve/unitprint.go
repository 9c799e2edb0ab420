package curve

import "strconv"

// Absent stands where a number could not be measured.
const Absent = "-"

// Plain prints an amount of stops whose direction a word tells: "1.3 stops".
func (v Stops) Plain(decimals int) string { return decimal(float64(v), decimals, false, " stops") }

// Short prints an amount as one says it, whole stops without a decimal: "1 stop", "1.5 stops".
func (v Stops) Short() string {
	v = Stops(Round(float64(v), 1))
	switch {
	case v == 1:
		return "1 stop"
	case v == Stops(int(v)):
		return v.Plain(0)
	}
	return v.Plain(1)
}

// FromGrey prints where a tone lies: "4 stops under grey", "at grey", "1.5 stops over grey".
func (v Stops) FromGrey() string {
	switch v = Stops(Round(float64(v), 1)); {
	case !Finite(v):
		return Absent
	case v < 0:
		return (-v).Short() + " under grey"
	case v > 0:
		return v.Short() + " over grey"
	}
	return "at grey"
}

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
