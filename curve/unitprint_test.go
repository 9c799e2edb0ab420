package curve

import (
	"math"
	"testing"
)

func TestPrinting(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, test := range []struct{ got, want string }{
		{Stops(1.349).Signed(1), "+1.3 stops"},
		{Stops(1.35).Signed(2), "+1.35 stops"},
		{Stops(-8).Signed(1), "-8.0 stops"},
		{Stops(0.04).Signed(1), "+0.0 stops"},
		{Stops(-0.04).Signed(1), "+0.0 stops"},
		{Stops(-0.05).Signed(1), "-0.1 stops"},
		{Stops(math.Copysign(0, -1)).Signed(2), "+0.00 stops"},
		{Stops(2.06).Plain(1), "2.1 stops"},
		{Stops(-0.01).Plain(1), "0.0 stops"},
		{Stops(1).Short(), "1 stop"},
		{Stops(0.96).Short(), "1 stop"},
		{Stops(2).Short(), "2 stops"},
		{Stops(1.5).Short(), "1.5 stops"},
		{Stops(inf).Short(), Absent},
		{Stops(-4).FromGrey(), "4 stops under grey"},
		{Stops(-1.04).FromGrey(), "1 stop under grey"},
		{Stops(0.04).FromGrey(), "at grey"},
		{Stops(2.25).FromGrey(), "2.3 stops over grey"},
		{Stops(nan).FromGrey(), Absent},
		{Decibels(30.5).String(), "31 dB"},
		{Decibels(-0.4).String(), "0 dB"},
		{Decibels(8.6).Signed(), "+9 dB"},
		{Decibels(-8.6).Signed(), "-9 dB"},
		{Decibels(-0.3).Signed(), "+0 dB"},
		{Percent(54.94).String(), "54.9 %"},
		{Code(419.6).String(), "420"},
		{Seconds(3.44).String(), "3.4 s"},
		{Share(0).String(), "0 %"},
		{Share(0.00001).String(), "<0.1 %"},
		{Share(0.000499).String(), "<0.1 %"},
		{Share(0.0005).String(), "0.1 %"},
		{Share(0.041).String(), "4.1 %"},
		{Share(0.0994).String(), "9.9 %"},
		{Share(0.0995).String(), "10 %"},
		{Share(1).String(), "100 %"},
		{Share(nan).String(), Absent},
		{Stops(-inf).Signed(1), Absent},
		{Stops(nan).Plain(1), Absent},
		{Decibels(nan).String(), Absent},
		{Percent(inf).String(), Absent},
		{Code(nan).String(), Absent},
		{Seconds(nan).String(), Absent},
		{Stops(math.MaxFloat64).Signed(1)[:5], "+1797"},
	} {
		if test.got != test.want {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

func TestStopsDecimals(t *testing.T) {
	for _, test := range []struct {
		low, high Stops
		want      int
	}{
		{1.6, 1.7, 2}, {1.5, 1.689, 2}, {1.5, 1.691, 1}, {0, 2, 1}, {1, 1, 2},
		{Unknown[Stops](), 1, 1}, {2, 1, 1},
	} {
		if got := StopsDecimals(test.low, test.high); got != test.want {
			t.Errorf("%g..%g: %d decimals, want %d", test.low, test.high, got, test.want)
		}
	}
}

// No value prints a sign against its direction, whatever the decimals.
func TestZeroHasNoDirection(t *testing.T) {
	for v := Stops(-0.2); v <= 0.2; v += 0.001 {
		for _, decimals := range []int{1, 2} {
			s, r := v.Signed(decimals), Round(v, decimals)
			if negative := s[0] == '-'; negative != (r < 0) {
				t.Errorf("%g prints %q and rounds to %g", v, s, r)
			}
			if math.Abs(float64(r-v)) > 0.5000001*math.Pow10(-decimals) {
				t.Errorf("%g rounds to %g", v, r)
			}
		}
	}
}
