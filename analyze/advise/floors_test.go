package advise

import "testing"

// TestFloorsApart: floors with their intervals differ with one; where one is only a bound they do not.
func TestFloorsApart(t *testing.T) {
	a, b := take("a.mov", cardAt(0, 100, 50), 0.001, 0), take("b.mov", cardAt(0, 100, 50), 0.001, 0)
	a.Noise.FloorLow, a.Noise.FloorHigh = -9.3, -8.7
	b.Noise.Floor, b.Noise.FloorLow, b.Noise.FloorHigh = -8, -8.4, -7.6
	d := Compare([]Measured{a, b}).Takes[1].find("floor", 0).Difference
	if d == nil || !nearly(d.High-d.Low, 1) || !d.Told {
		t.Errorf("1 stop apart within 0.5: %+v", d)
	}
	b.Noise.FloorLow = b.Noise.FloorHigh + 1 // none
	if d := Compare([]Measured{a, b}).Takes[1].find("floor", 0).Difference; d != nil {
		t.Errorf("a bound: %+v", d)
	}
}
