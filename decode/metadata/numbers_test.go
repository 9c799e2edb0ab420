package metadata

import (
	"math"
	"testing"

	"stopledger/decode/metadata/build"
)

// printed is half of the last digit that the expected value is printed with.
const printed = 0.005

func near[T ~float64](t *testing.T, what string, got *T, want, tolerance float64) {
	t.Helper()
	if got == nil {
		t.Errorf("%s: nothing, want %g", what, want)
	} else if d := math.Abs(float64(*got) - want); !(d <= tolerance) {
		t.Errorf("%s: got %g, want %g (off by %.1f tolerances)", what, float64(*got), want, d/tolerance)
	}
}

// SMPTE metadata registers, iris F-number: 8000h is F16, 1000h is one stop.
func TestIrisStop(t *testing.T) {
	near(t, "8000", irisStop(0x8000), 16, 0)
	near(t, "D077", irisStop(0xD077), 2.80, printed)
	near(t, "one stop wider", irisStop(0x9000), 16/math.Sqrt2, 1e-12)
	if irisStop(0) != nil {
		t.Error("0 is taken for an iris")
	}
}

// The decimal half and the IEEE half differ in every word but few: D032h is 50 x 10^-3.
func TestHalves(t *testing.T) {
	for _, c := range []struct {
		word          uint16
		decimal, ieee float64
	}{
		{0xD032, 50e-3, -33.5625},
		{0x0001, 1, 5.960464477539063e-08}, // IEEE 754: smallest subnormal
		{0x3C00, 3072e3, 1},
		{0xACEE, 3310e-6, -0.07702636718750},
		{0x7BFF, 3071e7, 65504}, // IEEE 754: largest
		{0xC000, 0, -2},
		{0x3555, 1365e3, 0.333251953125}, // IEEE 754: nearest to 1/3
		{0x0400, 1024, 6.103515625e-05},  // IEEE 754: smallest normal
	} {
		d, f := decimalHalf(c.word), ieeeHalf(c.word)
		near(t, "decimal", &d, c.decimal, math.Abs(c.decimal)*1e-15)
		near(t, "IEEE", &f, c.ieee, math.Abs(c.ieee)*1e-15)
	}
	if !math.IsInf(ieeeHalf(0x7C00), 1) || !math.IsInf(ieeeHalf(0xFC00), -1) || !math.IsNaN(ieeeHalf(0x7E00)) {
		t.Error("infinities or NaN of IEEE half")
	}
}

func TestNDStops(t *testing.T) {
	near(t, "clear", ndStops(1), 0, 0)
	near(t, "1/4", ndStops(4), 2, 0)
	near(t, "1/64", ndStops(64), 6, 0)
	if ndStops(0) != nil {
		t.Error("0 is taken for a filter")
	}
}

func TestColourDecisionsRefuseOtherShapes(t *testing.T) {
	good := build.Join(build.U32(10), build.U32(2), make([]byte, 20))
	if colourDecisions(good) == nil {
		t.Fatal("ten halves refused")
	}
	for name, p := range map[string][]byte{
		"cut off":      good[:27],
		"nine values":  build.Join(build.U32(9), build.U32(2), make([]byte, 20)),
		"four bytes":   build.Join(build.U32(10), build.U32(4), make([]byte, 40)),
		"not a number": build.Join(build.U32(10), build.U32(2), make([]byte, 18), build.U16(0x7E00)),
		"empty":        nil,
	} {
		if colourDecisions(p) != nil {
			t.Errorf("%s: accepted", name)
		}
	}
}
