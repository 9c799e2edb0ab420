package report

import (
	"math"
	"testing"
)

func TestQuantities(t *testing.T) {
	for _, test := range []struct{ got, want string }{
		{SignedStops(1.349, 1), "+1.3 stops"},
		{SignedStops(1.35, 2), "+1.35 stops"},
		{SignedStops(-8, 1), "-8.0 stops"},
		{SignedStops(0.04, 1), "+0.0 stops"},
		{SignedStops(-0.04, 1), "+0.0 stops"},
		{SignedStops(-0.05, 1), "-0.1 stops"},
		{SignedStops(math.Copysign(0, -1), 2), "+0.00 stops"},
		{PlainStops(2.06, 1), "2.1 stops"},
		{PlainStops(-0.01, 1), "0.0 stops"},
		{Decibels(30.5), "31 dB"},
		{Decibels(-0.4), "0 dB"},
		{SignedDecibels(8.6), "+9 dB"},
		{SignedDecibels(-8.6), "-9 dB"},
		{SignedDecibels(-0.3), "+0 dB"},
		{Percent(54.94), "54.9 %"},
		{Code(419.6), "420"},
		{Seconds(3.44), "3.4 s"},
		{Share(0), "0 %"},
		{Share(0.00001), "<0.1 %"},
		{Share(0.000499), "<0.1 %"},
		{Share(0.0005), "0.1 %"},
		{Share(0.041), "4.1 %"},
		{Share(0.0994), "9.9 %"},
		{Share(0.0995), "10 %"},
		{Share(1), "100 %"},
		{Share(math.NaN()), Absent},
		{SignedStops(math.Inf(-1), 1), Absent},
		{Decibels(math.NaN()), Absent},
		{SignedStops(math.MaxFloat64, 1)[:5], "+1797"},
	} {
		if test.got != test.want {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

func TestStopsDigits(t *testing.T) {
	for _, test := range []struct {
		low, high float64
		want      int
	}{{1.6, 1.7, 2}, {1.5, 1.689, 2}, {1.5, 1.691, 1}, {0, 2, 1}, {1, 1, 2}, {math.NaN(), 1, 1}, {2, 1, 1}} {
		if got := StopsDigits(test.low, test.high); got != test.want {
			t.Errorf("%g..%g: %d digits, want %d", test.low, test.high, got, test.want)
		}
	}
}

// No value prints a sign against its direction, whatever the digits.
func TestZeroHasNoDirection(t *testing.T) {
	for v := -0.2; v <= 0.2; v += 0.001 {
		for _, digits := range []int{1, 2} {
			s, r := SignedStops(v, digits), roundTo(v, digits)
			if r == 0 && (s[0] != '+' || overUnder(v, digits) != "at nominal") {
				t.Errorf("%g prints %q and is %q", v, s, overUnder(v, digits))
			}
			if math.Abs(r-v) > 0.5000001*math.Pow10(-digits) {
				t.Errorf("%g rounds to %g", v, r)
			}
		}
	}
}
