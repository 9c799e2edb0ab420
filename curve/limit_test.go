package curve

import (
	"math"
	"testing"
)

// TestLimit: recordings of S-Log3 end at a 94 % video level (support article 00145909, Sony), code
// 887 of 10 bits, 6.01 stops over grey; of V-Log nothing is published, and codes end at 1019.
func TestLimit(t *testing.T) {
	for _, tc := range []struct {
		name  string
		span  Range
		bits  int
		limit float64 // file code
	}{
		{"S-Log3", Narrow, 10, 887.44}, {"S-Log3", Narrow, 12, 3549.76}, {"S-Log3", Full, 10, 887.44},
		{"V-Log", Narrow, 10, 1019},
	} {
		c, err := Find(tc.name)
		if err != nil {
			t.Fatal(err)
		}
		r := Reading{Curve: c, Range: tc.span, Bits: tc.bits}
		if got := float64(r.Limit()); math.Abs(got-tc.limit) > 0.01 {
			t.Errorf("%s, range %v, %d bits: code %.2f, want %.2f", tc.name, tc.span, tc.bits, got, tc.limit)
		}
	}
	c, _ := Find("S-Log3")
	r := Reading{Curve: c, Bits: 10}
	if stops := r.Stops(r.Limit()); math.Abs(float64(stops)-6.01) > 0.01 {
		t.Errorf("%.3f stops over grey, want 6.01", stops)
	}
}
