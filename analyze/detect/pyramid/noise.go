package pyramid

import (
	"math"
	"slices"
)

// A Steepness is the largest difference between pixels two apart that still counts as flat, in
// codes: of luma by bin of luma, of B'-Y' by bin of B' and of R'-Y' by bin of R', because a colour's
// noise goes with how dark that primary is.
type Steepness struct{ Luma, Blue, Red [toneBins]int16 }

// A Drawing is how closely flat areas are drawn: what is steeper than so many standard deviations
// of the noise, and than the least in luma or colour, codes, is no part of them.
type Drawing struct{ Sigmas, LeastLuma, LeastColour float64 }

// A Roughness is one standard deviation of the differences that noise makes, as a Steepness.
type Roughness struct {
	Luma      [toneBins]float32 // by bin of luma
	blue, red [toneBins]float32
	quantum   float64
}

// RoughnessOf estimates the noise of a level: in each bin of luma a low quantile of the absolute
// differences of pixels two apart, over what that quantile is in normal noise of standard deviation 1.
// What is not flat only adds large differences, which hardly move the quantile; it biases the
// estimate upward by the share of the picture that is busy.
func RoughnessOf(l *Level, p *Params) Roughness {
	var luma, blue, red differences
	for y := 1; y < l.H-1; y += 3 {
		for x := 1 + y%3; x < l.W-1; x += 3 {
			i := y*l.W + x
			luma.add(Bin(l.Y[i]), l.Y[i+1], l.Y[i-1])
			blue.add(Bin(l.Y[i]+l.U[i]), l.U[i+1], l.U[i-1])
			red.add(Bin(l.Y[i]+l.V[i]), l.V[i+1], l.V[i-1])
		}
	}
	return Roughness{luma.sigmas(p), blue.sigmas(p), red.sigmas(p), l.Quantum}
}

// Limits returns the steepness of a drawing: standard deviations of the noise, but no less than is
// given and no more than MostSteep.
func (r *Roughness) Limits(d Drawing, p *Params) (s Steepness) {
	colour := math.Max(d.LeastColour, p.QuantaSteep*r.quantum)
	limit := func(sigma float32, least float64) int16 {
		return int16(math.Min(math.Max(d.Sigmas*float64(sigma), least), p.MostSteep))
	}
	for b := range toneBins {
		s.Luma[b] = limit(r.Luma[b], d.LeastLuma)
		s.Blue[b], s.Red[b] = limit(r.blue[b], colour), limit(r.red[b], colour)
	}
	return s
}

// Bin returns the bin of a code.
func Bin(v int16) int { return int(min(max(v, 0), 1<<levelBits-1)) >> binShift }

// differences counts absolute differences by bin and size.
type differences [toneBins][deepest]int32

func (d *differences) add(bin int, a, b int16) { d[bin][min(abs(a-b), deepest-1)]++ }

// sigmas turns each bin's counts into a standard deviation; a thin bin takes the value of the
// nearest one that has enough.
func (d *differences) sigmas(p *Params) (sigma [toneBins]float32) {
	known := make([]int, 0, toneBins)
	for b := range d {
		var n int32
		for _, c := range d[b] {
			n += c
		}
		if n >= int32(p.LeastCount) {
			known = append(known, b)
			sigma[b] = quietSigma(&d[b], n, p)
		}
	}
	for b := range sigma {
		switch i, found := slices.BinarySearch(known, b); {
		case found || len(known) == 0:
		case i == len(known) || i > 0 && b-known[i-1] <= known[i]-b:
			sigma[b] = sigma[known[i-1]]
		default:
			sigma[b] = sigma[known[i]]
		}
	}
	return sigma
}

// quietSigma returns the quantile of n counts by size, over what it is in normal noise.
func quietSigma(counts *[deepest]int32, n int32, p *Params) float32 {
	rest := float64(n) * p.QuietQuantile
	for size, c := range counts {
		if rest > float64(c) {
			rest -= float64(c)
			continue
		}
		// Differences are whole numbers: size stands for all that round to it.
		low := math.Max(float64(size)-0.5, 0)
		return float32((low + (float64(size)+0.5-low)*rest/float64(c)) / p.QuietSigmas)
	}
	return 0
}

func abs(v int16) int16 {
	if v < 0 {
		return -v
	}
	return v
}
