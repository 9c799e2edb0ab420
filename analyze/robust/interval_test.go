package robust

import (
	"math"
	"testing"
)

// TestHalfInterval takes t of the 97.5 % point from the printed table (NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.6.7.2): 12.706 with one degree of freedom, 3.182 with three, 2.201 with eleven.
func TestHalfInterval(t *testing.T) {
	for _, tc := range []struct {
		values []float64
		want   float64
	}{
		{[]float64{1, 3}, 12.706 * math.Sqrt2 / math.Sqrt2},
		{[]float64{1, 1, 3, 3}, 3.182 * math.Sqrt(4.0/3) / 2},
		{[]float64{0, 2, 0, 2, 0, 2, 0, 2, 0, 2, 0, 2}, 2.201 * math.Sqrt(12.0/11) / math.Sqrt(12)},
		{[]float64{5, 5, 5}, 0},
	} {
		if got := HalfInterval(tc.values); math.Abs(got-tc.want) > 5e-4*tc.want {
			t.Errorf("%v: %v, want %v", tc.values, got, tc.want)
		}
	}
	for _, unknown := range [][]float64{nil, {1}, {1, math.NaN(), 2}} {
		if got := HalfInterval(unknown); !math.IsNaN(got) {
			t.Errorf("%v: %v, want none", unknown, got)
		}
	}
}
