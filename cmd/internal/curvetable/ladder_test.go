package curvetable

import (
	"math"
	"testing"

	"stopledger/curve"
)

// Stops per percent is the difference two levels half a percent apart make.
func TestStopsPerPercent(t *testing.T) {
	for _, c := range curve.All() {
		r := curve.Reading{Curve: c, Range: c.Range, Bits: 10}
		light := curve.Light(curve.MidGrey)
		code := r.CodeOf(light)
		codes := curve.FileCode(1 / (r.Percent(code+1) - r.Percent(code))) // in a percent
		want := r.Stops(code+codes/2) - r.Stops(code-codes/2)
		if got := stopsAPercent(r, light); math.Abs(float64(got)/float64(want)-1) > 2e-3 { // of curvature
			t.Errorf("%s: %.5f stops per percent, difference %.5f", c.Name, got, want)
		}
	}
}
