package analyze

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"stopledger/curve"
)

const (
	// systematic is the part of a tone's variance that its formal error does not cover: the
	// curve's slope within a cell, coding, slight texture. Common practice, no source.
	systematic = 0.03
	// goodChi2 is the misfit per degree of freedom up to which no tone is questioned.
	goodChi2 = 2
	// codingLoss is what lossy coding takes off a variance, relative, at a noise of one 10-bit
	// code; it falls with the noise. Between what ProRes 422 HQ (0.25 at two codes, 0.12 at
	// five) and fine HEVC did to white noise, in testdata/noise.md.
	codingLoss = 0.4
	// worstChi2 is the misfit per degree of freedom above which there is no model.
	worstChi2 = 12
	// leastTones is how many tones a fit of two parameters needs.
	leastTones = 3
	// topTone leaves out tones near the ceiling, where a sensor's noise shrinks again.
	topTone = 0.7 // of the ceiling's light: EMVA 1288 release 4.0, 70 % of saturation
)

// fitModel fits variance = read^2 + shot x linear to the tones below the ceiling by weighted
// least squares, neither parameter negative: the photon transfer of EMVA 1288 with the dark
// variance free, in scene-linear light. loss is what coding may take off the variance of one
// file code of noise, relative. It returns nil and a reason where there is no model.
func fitModel(tones []Tone, ceilingLinear, loss float64) (*Model, string) {
	var linear, variance, weight []float64
	for _, t := range tones {
		if math.IsNaN(t.SigmaLinear) || t.Linear > topTone*ceilingLinear {
			continue
		}
		v := t.SigmaLinear * t.SigmaLinear
		relative := math.Hypot(math.Hypot(2*t.Relative, systematic), min(loss/t.SigmaCode, 1))
		linear = append(linear, t.Linear)
		variance = append(variance, v)
		weight = append(weight, 1/(v*v*relative*relative))
	}
	if len(linear) < leastTones {
		return nil, fmt.Sprintf("%d tones with measurable noise; %d are needed", len(linear), leastTones)
	}
	points := modelPoints{linear, variance, weight}
	m := points.fit()
	// What moves only adds variance: tones that stick out above are dropped, the worst first.
	for most := len(linear) / 3; m != nil && m.Chi2 > goodChi2 && most > 0 && len(points.linear) > leastTones+1; most-- {
		if !points.dropHighest(m) {
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

// modelPoints are the tones a model is fitted to.
type modelPoints struct{ linear, variance, weight []float64 }

// fit returns the model with its misfit, nil where the points do not tell two parameters. Errors
// are relative, to the true variance and not to the one measured, which would favour what came out
// low: after the first fit the model gives the weights.
func (p modelPoints) fit() *Model {
	m, ok := solveModel(p.linear, p.variance, p.weight)
	for range 3 {
		if !ok {
			return nil
		}
		weight := slices.Clone(p.weight)
		for i := range weight {
			if v := p.variance[i] - p.excess(m, i); v > 0 {
				weight[i] *= p.variance[i] * p.variance[i] / v / v
			}
		}
		m, ok = solveModel(p.linear, p.variance, weight)
	}
	if !ok {
		return nil
	}
	for i := range p.linear {
		d := p.excess(m, i)
		m.Chi2 += d * d * p.weight[i]
	}
	m.Chi2 /= float64(len(p.linear) - 2)
	return m
}

func (p modelPoints) excess(m *Model, i int) float64 {
	return p.variance[i] - m.Read*m.Read - m.Shot*p.linear[i]
}

// dropHighest drops the point that lies furthest above the model, if one does.
func (p *modelPoints) dropHighest(m *Model) bool {
	worst, at := 1.0, -1
	for i := range p.linear {
		if d := p.excess(m, i); d > 0 && d*d*p.weight[i] > worst {
			worst, at = d*d*p.weight[i], i
		}
	}
	if at < 0 {
		return false
	}
	for _, v := range []*[]float64{&p.linear, &p.variance, &p.weight} {
		*v = slices.Delete(*v, at, at+1)
	}
	return true
}

// solveModel solves the weighted normal equations and, where one parameter comes out negative,
// again without it.
func solveModel(linear, variance, weight []float64) (*Model, bool) {
	normal := mat.NewSymDense(2, nil)
	right := mat.NewVecDense(2, nil)
	for i, w := range weight {
		row := [2]float64{1, linear[i]}
		for a := range 2 {
			for b := a; b < 2; b++ {
				normal.SetSym(a, b, normal.At(a, b)+w*row[a]*row[b])
			}
			right.SetVec(a, right.AtVec(a)+w*row[a]*variance[i])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) || chol.Cond() > 1e12 {
		return nil, false
	}
	var p mat.VecDense
	var covariance mat.SymDense
	if chol.SolveVecTo(&p, right) != nil || chol.InverseTo(&covariance) != nil {
		return nil, false
	}
	readSq, shot := p.AtVec(0), p.AtVec(1)
	readSqError, shotError := math.Sqrt(covariance.At(0, 0)), math.Sqrt(covariance.At(1, 1))
	switch {
	case readSq < 0:
		readSq, shot = 0, right.AtVec(1)/normal.At(1, 1)
	case shot < 0:
		readSq, shot = right.AtVec(0)/normal.At(0, 0), 0
	}
	m := &Model{Read: math.Sqrt(readSq), Shot: shot, ShotError: shotError, ReadError: math.Sqrt(readSqError)}
	if m.Read > 0 {
		m.ReadError = min(m.ReadError, readSqError/2/m.Read)
	}
	return m, true
}

// floorOf returns the recorded stops at which linear / sigma = snr: from the model, or between
// two measured tones where there is none. NaN where the tones do not reach it.
func floorOf(tones []Tone, m *Model, snr float64) float64 {
	if m != nil {
		return m.Floor(snr)
	}
	for i := 1; i < len(tones); i++ {
		low, high := tones[i-1].Linear/tones[i-1].SigmaLinear, tones[i].Linear/tones[i].SigmaLinear
		if low > 0 && low <= snr && high >= snr {
			part := math.Log(snr/low) / math.Log(high/low)
			return tones[i-1].Stops + part*(tones[i].Stops-tones[i-1].Stops)
		}
	}
	return math.NaN()
}

// snrAt returns the SNR in dB at recorded stops: from the model, or between two measured tones.
func snrAt(n *Noise, stops float64) float64 {
	if n.Suppressed != "" {
		return math.NaN()
	}
	if n.Model != nil {
		return n.Model.SNR(curve.FromStops(stops))
	}
	for i := 1; i < len(n.Tones); i++ {
		a, b := n.Tones[i-1], n.Tones[i]
		if a.Stops <= stops && stops <= b.Stops && a.SigmaLinear > 0 && b.SigmaLinear > 0 {
			low, _, _ := a.SNR()
			high, _, _ := b.SNR()
			return low + (high-low)*(stops-a.Stops)/(b.Stops-a.Stops)
		}
	}
	return math.NaN()
}
