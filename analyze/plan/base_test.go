package plan

import (
	"fmt"
	"math"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// stages returns a profile of a camera whose read noise has a part before gain and one after it, as recorded:
// read^2 = (gain before)^2 + after^2, each known within 3 %.
func stages(isos []int, before, after func(iso int) float64, ceiling curve.Stops) *Profile {
	p := &Profile{}
	for _, iso := range isos {
		gain := float64(iso) / 800
		read := curve.Light(math.Hypot(gain*before(iso), after(iso)))
		p.ISOs = append(p.ISOs, ISO{ISO: iso, Ceiling: ceiling, Origin: clipping.Measured, Camera: noise.Camera{Read: read,
			ReadLow: 0.97 * read, ReadHigh: 1.03 * read, Shot: curve.Light(5e-5 * gain)}})
	}
	p.Derive()
	p.findBases()
	p.findGain()
	return p
}

// Analogue gain before a noisy converter lets noise before gain fall smoothly with ISO: that is no base ISO, and
// gain brings something until the sensor's own noise rules. A second gain stage is one; one that lies hidden
// between two ISOs far apart is told as a possibility.
func TestBasesAndGain(t *testing.T) {
	always := func(v float64) func(int) float64 { return func(int) float64 { return v } }
	ladder := []int{800, 1600, 3200, 6400, 12800}
	switched := func(iso int) float64 {
		if iso >= 3200 {
			return 1e-4
		}
		return 5e-4
	}
	for name, c := range map[string]struct {
		p     *Profile
		bases string
		above int // 0 for not known
		notes int
	}{
		"gain after the noise": {stages(ladder, always(5e-4), always(0), 6), "[800]", 800, 0},
		"noisy converter":      {stages(ladder, always(1e-4), always(2e-4), 6), "[800]", 3200, 0},
		"two stages":           {stages(ladder, switched, always(0), 6), "[800 3200]", 3200, 0},
		"hidden between":       {stages([]int{800, 12800}, switched, always(0), 6), "[800]", 0, 2},
	} {
		above := 0
		if c.p.NoGainAbove != nil {
			above = *c.p.NoGainAbove
		}
		if fmt.Sprint(c.p.BaseISOs) != c.bases || above != c.above || len(c.p.Notes) != c.notes {
			t.Errorf("%s: bases %v, no gain above %d, %q", name, c.p.BaseISOs, above, c.p.Notes)
		}
	}
}
