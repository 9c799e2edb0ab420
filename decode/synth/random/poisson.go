package random

import "math"

// PoissonBelow is the number of electrons under which shot noise is drawn from the Poisson
// distribution itself. Above it the normal distribution takes over, whose lack of skewness
// (1/sqrt(20) at most) no longer shows.
const PoissonBelow = 20

// MostMean is the largest float32 below PoissonBelow.
const MostMean = PoissonBelow - 1.0/(1<<19)

// MostCounts is one more than the largest number of electrons that is drawn.
const MostCounts = 64

const poissonStep = 8 // means tabulated for each electron

// counts holds, for means a step apart, the distribution of the number of electrons as 32-bit
// fractions, and for each leading byte of such a fraction where to start looking in it.
var counts = func() (t [PoissonBelow * poissonStep]struct {
	upTo [MostCounts]uint32
	from [256]uint8
}) {
	for j := range t {
		mean := float64(j) / poissonStep
		p := math.Exp(-mean)
		sum := 0.0
		for k := range t[j].upTo {
			sum += p
			t[j].upTo[k] = uint32(min(sum*(1<<32), 1<<32-1))
			p *= mean / float64(k+1)
		}
		k := 0
		for b := range t[j].from {
			for k < MostCounts-1 && uint32(b)<<24 >= t[j].upTo[k] {
				k++
			}
			t[j].from[b] = uint8(k)
		}
	}
	return t
}()

// Poisson turns 64 random bits into a Poisson number of a mean in 0 <= mean < PoissonBelow. The
// sum of two Poisson numbers is one too: most of the mean is looked up, and what it has over
// the table's step is drawn by inversion.
func Poisson(bits uint64, mean float32) int {
	j := int(mean * poissonStep)
	t := &counts[j]
	u := uint32(bits >> 32)
	k := int(t.from[u>>24])
	for k < MostCounts-1 && u >= t.upTo[k] {
		k++
	}
	d := mean - float32(j)/poissonStep
	p := 1 - d*(1-d/2*(1-d/3*(1-d/4))) // exp(-d), to 3e-7 for d < 1/8
	v := float32(uint32(bits)) / (1 << 32)
	for n, sum := 1, p; v > sum && n < 8; n++ {
		p *= d / float32(n)
		sum += p
		k++
	}
	return k
}
