package noise

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/robust"
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
		return nil, tooFewTones(n)
	}
	m := points.fit()
	// What moves only adds variance: tones that stick out above are dropped, the worst first.
	for most := len(points.light) / 3; most > 0 && m != nil && m.Chi2 > goodChi2; most-- {
		if len(points.light) <= leastTones+1 || !points.dropHighest(m) {
			break
		}
		m = points.fit()
	}
	return m.ifSound()
}

// fitStill fits as fitModel does, to tones of which nothing moves.
func fitStill(tones []tone) (*Model, string) {
	points := pointsOf(tones, curve.Light(math.Inf(1)))
	if n := len(points.light); n < leastTones {
		return nil, tooFewTones(n)
	}
	return points.fit().ifSound()
}

// ifSound returns the model, or why there is none.
func (m *Model) ifSound() (*Model, string) {
	if m == nil {
		return nil, "the tones with measurable noise are too alike"
	}
	if m.Chi2 > worstChi2 {
		return nil, fmt.Sprintf("noise does not follow read and shot noise (misfit %.0f where 1 is expected)", m.Chi2)
	}
	return m, ""
}

func tooFewTones(n int) string {
	return fmt.Sprintf("%d tones with measurable noise; %d are needed", n, leastTones)
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

// modelPoints are the tones a model is fitted to.
type modelPoints struct{ light, variance, weight []float64 }

func (p *modelPoints) add(light, variance, weight float64) {
	p.light = append(p.light, light)
	p.variance = append(p.variance, variance)
	p.weight = append(p.weight, weight)
}

// fit returns the model with its misfit, nil where the points do not tell two parameters. Errors
// are relative, to the true variance and not to the one measured, which would favour what came out
// low: after the first fit the model gives the weights.
func (p modelPoints) fit() *Model {
	m := solveModel(p.light, p.variance, p.weight)
	for range 3 {
		if m == nil {
			return nil
		}
		weight := slices.Clone(p.weight)
		for i := range weight {
			if v := p.variance[i] - p.excess(m, i); v > 0 {
				weight[i] *= p.variance[i] * p.variance[i] / v / v
			}
		}
		m = solveModel(p.light, p.variance, weight)
	}
	if m == nil {
		return nil
	}
	for i := range p.light {
		d := p.excess(m, i)
		m.Chi2 += curve.Ratio(d * d * p.weight[i])
	}
	m.Chi2 /= curve.Ratio(len(p.light) - 2)
	return m
}

// excess returns how far a point's variance lies above the model.
func (p modelPoints) excess(m *Model, i int) float64 {
	return p.variance[i] - float64(m.Read*m.Read) - float64(m.Shot)*p.light[i]
}

// dropHighest drops the point that lies furthest above the model, if one does.
func (p *modelPoints) dropHighest(m *Model) bool {
	worst, at := 1.0, -1
	for i := range p.light {
		if d := p.excess(m, i); d > 0 && d*d*p.weight[i] > worst {
			worst, at = d*d*p.weight[i], i
		}
	}
	if at < 0 {
		return false
	}
	for _, v := range []*[]float64{&p.light, &p.variance, &p.weight} {
		*v = slices.Delete(*v, at, at+1)
	}
	return true
}

// solveModel fits a line by weighted least squares and, where one parameter comes out negative,
// again without it; nil where the points do not tell two parameters.
func solveModel(light, variance, weight []float64) *Model {
	line, ok := robust.FitLine(light, variance, weight)
	if !ok {
		return nil
	}
	readSq, shot := line.Offset, line.Slope
	switch {
	case readSq < 0:
		readSq = 0
		_, shot = stat.LinearRegression(light, variance, weight, true)
	case shot < 0:
		readSq, shot = stat.Mean(variance, weight), 0
	}
	read := math.Sqrt(readSq)
	readError := math.Sqrt(line.OffsetError)
	if read > 0 {
		readError = min(readError, line.OffsetError/2/read)
	}
	return &Model{Read: curve.Light(read), Shot: curve.Light(shot),
		ReadError: curve.Light(readError), ShotError: curve.Light(line.SlopeError),
		DarkError: curve.Ratio(line.OffsetError), Covariance: curve.Ratio(line.Covariance)}
}
