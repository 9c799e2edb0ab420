package curve

import (
	"math"
	"slices"
	"testing"
)

// Which published curves a camera style of the Common LUT Format says (S-2014-006, Log node), and how
// far off in 10-bit codes: the steps that papers print at their joins, worked out from the formulas by
// hand. The others have two logarithms, a power or a shoulder.
func TestCameraLog(t *testing.T) {
	within := map[string]float64{"S-Log2": 0.0003, "S-Log3": 0.0003, "LogC3": 0.0003, "LogC4": 0.0003, "V-Log": 0.0004,
		"F-Log2": 0.0006, "Log3G10": 0.0003, "Film Gen 5": 0.0003, "D-Log": 0.003, "F-Log": 0.12, "L-Log": 0.97,
		"ACEScct": 0.0003, "DaVinci Intermediate": 0.002}
	var found []string
	for _, c := range All() {
		p, ok := c.CameraLog()
		if !ok {
			continue
		}
		found = append(found, c.Name)
		if _, known := within[c.Name]; !known {
			t.Errorf("%s is no logarithm above a straight toe", c.Name)
		}
		formula := func(x float64) float64 {
			log := func(x float64) float64 { return p.Gain*math.Log(p.In*x+p.Lift)/math.Log(p.Base) + p.Offset }
			if x <= p.Break {
				return log(p.Break) + p.ToeGain*(x-p.Break)
			}
			return log(x)
		}
		for x := -0.05; x < 10; x += 0.0003 + max(0, x)/50 {
			if off := 1023 * math.Abs(formula(x)-c.Encode(Light(x))); off > within[c.Name] {
				t.Fatalf("%s: light %g is off by %.5f codes, %.1f times the tolerance", c.Name, x, off, off/within[c.Name])
			}
		}
	}
	if len(found) != len(within) {
		t.Errorf("found %q", found)
	}
	late, err := All()[slices.IndexFunc(All(), func(c *Curve) bool { return c.Name == "LogC3" })].WithIndex(3200)
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := late.CameraLog(); ok {
		t.Error("LogC3 at 3200 has a shoulder")
	}
	if _, ok := New(Line(1, 0), 1).CameraLog(); ok {
		t.Error("a line is no logarithm")
	}
}
