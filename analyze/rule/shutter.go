package rule

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

// A Shutter is an exposure time, or an angle of the frame's duration.
type Shutter struct {
	Time  curve.Seconds // 0 for an angle
	Angle curve.Ratio   // degrees; 0 for a time
}

// ParseShutter reads 1/50, 1/50 s, 0.02 s or 172.8 deg.
func ParseShutter(text string) (Shutter, error) {
	value, angle := strings.CutSuffix(text, "deg")
	if !angle {
		value = strings.TrimSuffix(value, "s")
	}
	v, err := fraction(strings.TrimSpace(value))
	switch {
	case err != nil || !(v > 0) || math.IsInf(v, 0):
	case angle && v <= 360:
		return Shutter{Angle: curve.Ratio(v)}, nil
	case !angle && v < 1e3:
		return Shutter{Time: curve.Seconds(v)}, nil
	}
	return Shutter{}, fmt.Errorf("%q is no shutter: write a time such as 1/50 or an angle such as 180 deg", text)
}

func fraction(text string) (float64, error) {
	over, under, divided := strings.Cut(text, "/")
	v, err := strconv.ParseFloat(over, 64)
	if err != nil || !divided {
		return v, err
	}
	by, err := strconv.ParseFloat(under, 64)
	return v / by, err
}

// String writes a shutter as ParseShutter reads it: 1/50 s, 172.8 deg.
func (s Shutter) String() string {
	if s.Angle > 0 {
		return strconv.FormatFloat(float64(s.Angle), 'g', 5, 64) + " deg"
	}
	t := float64(s.Time)
	if whole := math.Round(1 / t); t < 1 && math.Abs(1/t-whole) < 0.005*whole {
		return fmt.Sprintf("1/%.0f s", whole)
	}
	return strconv.FormatFloat(t, 'g', 4, 64) + " s"
}

// MarshalText writes a shutter as String does.
func (s Shutter) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what ParseShutter does.
func (s *Shutter) UnmarshalText(text []byte) (err error) {
	*s, err = ParseShutter(string(text))
	return err
}

// seconds is the exposure time at a frame rate, 0 where an angle has none to go by.
func (s Shutter) seconds(rate curve.Amount) float64 {
	if s.Angle > 0 {
		if rate > 0 {
			return float64(s.Angle) / 360 / float64(rate)
		}
		return 0
	}
	return float64(s.Time)
}

// same tells whether two settings of a camera are one, but for how they are rounded.
func same(a, b float64) bool {
	return math.Abs(a-b) <= float64(limit.SameSetting)*math.Max(math.Abs(a), math.Abs(b))
}
