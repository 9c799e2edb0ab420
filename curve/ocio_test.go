package curve

import (
	"math"
	"testing"

	"stopledger/curve/ocio"
)

// ocioTransforms are the transforms of OpenColorIO 2.1.2 that hold one of our curves, and
// the reflectance of one of their units of light.
var ocioTransforms = []struct {
	name, curve string
	unit        float64
	tolerance   float64 // of n
}{
	{"SONY_SLOG3-SGAMUT3_to_ACES2065-1", "S-Log3", 1, liveSignal},
	{"SONY_SLOG3-SGAMUT3.CINE_to_ACES2065-1", "S-Log3", 1, liveSignal},
	{"SONY_SLOG3-SGAMUT3-VENICE_to_ACES2065-1", "S-Log3", 1, liveSignal},
	{"SONY_SLOG3-SGAMUT3.CINE-VENICE_to_ACES2065-1", "S-Log3", 1, liveSignal},
	{"ARRI_ALEXA-LOGC-EI800-AWG_to_ACES2065-1", "LogC3", 1, liveSignal},
	{"PANASONIC_VLOG-VGAMUT_to_ACES2065-1", "V-Log", 1, liveSignal},
	{"CANON_CLOG2-CGAMUT_to_ACES2065-1", "Canon Log 2", 1, liveSignal},
	{"CANON_CLOG3-CGAMUT_to_ACES2065-1", "Canon Log 3", 1, liveSignal},
	{"RED_LOG3G10-RWG_to_ACES2065-1", "Log3G10", 1, liveSignal},
	{"RED_REDLOGFILM-RWG_to_ACES2065-1", "Cineon", 0.9, liveSignal}, // counts from the 90 % card
	{"ACEScc_to_ACES2065-1", "ACEScc", 1, liveSignal},
	{"ACEScct_to_ACES2065-1", "ACEScct", 1, liveSignal},
	{"CURVE - ACEScct-LOG_to_LINEAR", "ACEScct", 1, liveSignal},
	{"CURVE - ST-2084_to_LINEAR", "PQ", 100 * 0.18 / 26, liveSignalPQ}, // units of 100 cd/m2
	{"moncurve 2.4/0.055", "sRGB", 1, liveSignal},                      // derives its own break
	{"exponent 2.4", "BT.1886", 1, liveSignal},
}

func checkOpenColorIO(t *testing.T, said agreement) {
	var names []string
	for _, tr := range ocioTransforms {
		names = append(names, tr.name)
	}
	ramps := ocio.Ramps(t, names)
	for _, tr := range ocioTransforms {
		c, err := Find(tr.curve)
		if err != nil {
			t.Fatal(err)
		}
		ramp := ramps[tr.name]
		if len(ramp) != 4096 {
			t.Errorf("%s: %d values, want 4096", tr.name, len(ramp))
		}
		worst, at := 0.0, 0.0
		for _, v := range ramp {
			n, light := v[0], v[1]*tr.unit
			difference := math.Abs(c.Encode(Light(light)) - n)
			said.add(c.Name, "OpenColorIO run here", "n", difference)
			if !(difference <= worst) {
				worst, at = difference, n
			}
		}
		if !(worst <= tr.tolerance) {
			t.Errorf("%s: differs from %s by %.2g of n at n = %g, %.2g of the tolerance",
				c.Name, tr.name, worst, at, worst/tr.tolerance)
		}
	}
}
