package noise

import (
	"fmt"
	"math"

	"stopledger/curve"
)

const (
	// goodChi2 is the misfit per degree of freedom up to which no tone is questioned.
	goodChi2 = 2
	// worstChi2 is the misfit per degree of freedom above which there is no model.
	worstChi2 = 12
	// leastTones is how many tones a fit of two parameters needs.
	leastTones = 3
	// topTone leaves out tones near the ceiling, where a sensor's noise shrinks again.
	topTone = 0.7 // of the ceiling's light: EMVA 1288 release 4.0, 70 % of saturation
)

// fitModel fits variance = read^2 + shot x light to the tones below the ceiling by weighted least
// squares, neither parameter negative: the photon transfer of EMVA 1288 with the dark variance
// free, in scene-linear light. It returns nil and a reason where
// there is no model.
func fitModel(tones []tone, ceiling curve.Light) (*Model, string) {
	points := pointsOf(tones, ceiling)
	if n := len(points.light); n < leastTones {
		return nil, fmt.Sprintf("%d tones with measurable noise; %d are needed", n, leastTones)
	}
	m := points.fit()
	// What moves only adds variance: tones that stick out above are dropped, the worst first.
	for most := len(points.light) / 3; most > 0 && m != nil && m.Chi2 > goodChi2; most-- {
		if len(points.light) <= leastTones+1 || !points.dropHighest(m) {
			break
		}
		m = points.fit()
	}
	if m == nil {
		return nil, "the tones with measurable noise are too alike"
	}
	if m.Chi2 > worstChi2 {
		return nil, fmt.Sprintf("noise does not follow read and shot noise (misfit %.0f where 1 is expected)", m.Chi2)
	}
	return m, ""
}

// pointsOf returns the tones that a model is fitted to.
func pointsOf(tones []tone, ceiling curve.Light) (p modelPoints) {
	for _, t := range tones {
		if math.IsNaN(t.sigmaLight) || t.light > topTone*ceiling {
			continue
		}
		v := t.sigmaLight * t.sigmaLight
		relative := 2 * math.Hypot(t.error(), t.coding)
		p.add(float64(t.light), v, 1/(v*v*relative*relative))
	}
	return p
}

// crossing returns the recorded stops at which light / sigma = snr: from the model, or between two
// measured tones where there is none. Unknown where the tones do not reach it.
func crossing(tones []tone, m *Model, snr float64) curve.Stops {
	if m != nil {
		return m.Floor(curve.Ratio(snr))
	}
	for i := 1; i < len(tones); i++ {
		low, high := float64(tones[i-1].light)/tones[i-1].sigmaLight, float64(tones[i].light)/tones[i].sigmaLight
		if low > 0 && low <= snr && high >= snr {
			part := curve.Stops(math.Log(snr/low) / math.Log(high/low))
			from, to := tones[i-1].light.Stops(), tones[i].light.Stops()
			return from + part*(to-from)
		}
	}
	return curve.Unknown[curve.Stops]()
}
