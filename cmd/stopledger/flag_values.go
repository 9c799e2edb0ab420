package main

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"stopledger/curve"
	"stopledger/curve/lut"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
)

// Each function here returns what sets a value from a flag's text, for pflag's Func; what is
// wrong with the text is a valueError.

// A setter takes a flag's text.
type setter func(text string) error

// oneOf sets a value that is one of a few, named without case; the first is the default and set at
// once. An empty name is written auto.
func oneOf[T ~string](value *T, choices ...T) setter {
	*value = choices[0]
	var names []string
	for _, c := range choices {
		names = append(names, cmp.Or(string(c), metadata.Auto))
	}
	return func(text string) error {
		name := strings.ToLower(text)
		i := slices.Index(names, name)
		if i < 0 {
			return cannotBe(strconv.Quote(name), strings.Join(names, ", "))
		}
		*value = choices[i]
		return nil
	}
}

// numbers adds numbers separated by commas to a list; check is asked about each.
func numbers[T ~float64](list *[]T, check func(v float64) error) setter {
	return func(text string) error {
		for _, part := range strings.Split(text, ",") {
			v, err := strconv.ParseFloat(part, 64)
			if err != nil {
				return cannotBe(strconv.Quote(text), "numbers separated by commas")
			}
			if err := check(v); err != nil {
				return err
			}
			*list = append(*list, T(v))
		}
		return nil
	}
}

// mostStops bounds a target or a lift.
const mostStops = 12

// stopsOverNominal reads a placement.
func stopsOverNominal(text string) (curve.Stops, error) {
	stops, err := strconv.ParseFloat(text, 64)
	if err != nil || !(stops >= -mostStops && stops <= mostStops) {
		return 0, cannotBe(strconv.Quote(text), fmt.Sprintf("stops over nominal from -%d to %d", mostStops, mostStops))
	}
	return curve.Stops(stops), nil
}

// namedCurve sets a curve: a published one, or the user's own from a file. none is the text for
// none.
func namedCurve(value *metadata.CurveName, none string) setter {
	return func(text string) error {
		*value = metadata.CurveName{}
		if strings.EqualFold(text, none) {
			return nil
		}
		c, err := findCurve(text)
		if err != nil {
			return valueError(": " + err.Error())
		}
		*value = metadata.CurveName{Given: text, Curve: c}
		return nil
	}
}

// findCurve finds a published curve or reads the user's own from a file.
func findCurve(name string) (*curve.Curve, error) {
	c, err := curve.Find(name)
	if err != nil && isFile(name) {
		return lut.Load(name)
	}
	return c, err
}

func isFile(name string) bool {
	_, err := os.Stat(name)
	return err == nil || strings.ContainsRune(name, os.PathSeparator)
}

// mostPixels bounds one coordinate of a region.
const mostPixels = 1 << 20

// parseRegion reads X,Y,W,H. Whether it lies inside the frame is not known yet.
func parseRegion(text string) (geometry.Rect, error) {
	parts := strings.Split(text, ",")
	var v [4]int
	ok := len(parts) == 4
	for i := 0; ok && i < 4; i++ {
		n, err := strconv.Atoi(strings.TrimSpace(parts[i]))
		ok = err == nil && n >= 0 && n <= mostPixels
		v[i] = n
	}
	if !ok || v[2] == 0 || v[3] == 0 {
		return geometry.Rect{}, cannotBe(strconv.Quote(text),
			"X,Y,W,H, whole pixels from the top left corner, as in 900,500,120,120")
	}
	return geometry.Rect{X: v[0], Y: v[1], W: v[2], H: v[3]}, nil
}
