package noise

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/robust"
	"stopledger/curve"
)

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
