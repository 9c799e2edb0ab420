package text

import (
	"fmt"
	"strconv"

	"stopledger/curve"
)

// Number prints a number rounded to decimals with its unit, Absent where it is not known.
func Number[T ~float64](v T, decimals int, unit string) string {
	if !curve.Finite(v) {
		return curve.Absent
	}
	return strconv.FormatFloat(float64(curve.Round(v, decimals)), 'f', decimals, 64) + unit
}

// Signed prints a number as Number does, with + before what is not negative once rounded.
func Signed[T ~float64](v T, decimals int, unit string) string {
	s := Number(v, decimals, unit)
	if curve.Finite(v) && curve.Round(v, decimals) >= 0 {
		return "+" + s
	}
	return s
}

// Plain prints a number as short as it is exact to five digits, Absent where it is not known.
func Plain[T ~float64](v T) string {
	if !curve.Finite(v) {
		return curve.Absent
	}
	return strconv.FormatFloat(float64(v), 'g', 5, 64)
}

// Plural counts: "1 clip", "2 clips".
func Plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// YesNo prints what is or is not so.
func YesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}
