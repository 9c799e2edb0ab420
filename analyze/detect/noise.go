package detect

import (
	"math"
	"slices"
)

// The noise of a level is read from the differences of pixels two apart, as functions of luma:
// a quantile low enough to come from flat areas even in a busy picture.
const (
	toneBins      = 32 // of luma, over the 12-bit scale
	binShift      = levelBits - 5
	quietQuantile = 0.3
	// quietSigmas is that quantile of |difference| over its standard deviation, normal noise:
	// the normal distribution's 65 % point.
	quietSigmas = 0.385
	leastCount  = 200 // differences needed to speak for a bin
)

// A steepness is the largest difference between pixels two apart that still counts as flat: of
// luma by bin of luma, of B'-Y' by bin of B' and of R'-Y' by bin of R', because a colour's noise
// goes with how dark that primary is.
type steepness struct{ luma, blue, red [toneBins]int16 }

// steepLimits are a steepness laid out for any value a pixel may have, by limitIndex.
type steepLimits struct{ luma, blue, red [128]int16 }

// limitIndex is the bin of a value counted from -4096; values below that, which no picture has, fold
// over to the end, where the lowest bin stands again.
func limitIndex(v int16) int { return (int(v) + 1<<levelBits) >> binShift & 127 }

func (s *steepness) table() (t steepLimits) {
	for i := range 128 {
		bin := min(max(i-toneBins, 0), toneBins-1)
		if i >= 3*toneBins {
			bin = 0
		}
		t.luma[i], t.blue[i], t.red[i] = s.luma[bin], s.blue[bin], s.red[bin]
	}
	return t
}

// Limits of a steepness on the 12-bit scale: below the least, rounding and compression speak; above
// the most, not even the edges between neighbouring patches stand out (the two lightest neutrals
// lie some 200 apart in a logarithmic curve). Ours, from trials.
const (
	leastSteep = 10
	// quantaSteep steps of coarse chroma are rounding, whatever the quantile says.
	quantaSteep = 2.2
	mostSteep   = 200
)

// deepest bounds the differences that are counted.
const deepest = 256

type differences [toneBins][deepest]int32

func (d *differences) add(bin int, a, b int16) { d[bin][min(abs(a-b), deepest-1)]++ }

// A roughness is one standard deviation of the differences that noise makes, as a steepness.
type roughness struct {
	luma, blue, red [toneBins]float32
	quantum         float64
}

// roughnessOf estimates the noise of a level.
func roughnessOf(l *level) roughness {
	var luma, blue, red differences
	for y := 1; y < l.h-1; y += 3 {
		for x := 1 + y%3; x < l.w-1; x += 3 {
			i := y*l.w + x
			luma.add(clampBin(l.y[i]), l.y[i+1], l.y[i-1])
			blue.add(clampBin(l.y[i]+l.u[i]), l.u[i+1], l.u[i-1])
			red.add(clampBin(l.y[i]+l.v[i]), l.v[i+1], l.v[i-1])
		}
	}
	return roughness{luma.sigmas(), blue.sigmas(), red.sigmas(), l.quantum}
}

// limits returns the steepness of a drawing: standard deviations of the noise, but no less than is
// given and no more than mostSteep.
func (r *roughness) limits(d drawing) (s steepness) {
	colour := math.Max(d.leastColour, quantaSteep*r.quantum)
	limit := func(sigma float32, least float64) int16 {
		return int16(math.Min(math.Max(d.sigmas*float64(sigma), least), mostSteep))
	}
	for b := range toneBins {
		s.luma[b] = limit(r.luma[b], d.leastLuma)
		s.blue[b], s.red[b] = limit(r.blue[b], colour), limit(r.red[b], colour)
	}
	return s
}

// sigmas turns each bin's counts into a standard deviation; a thin bin takes the value of the
// nearest one that has enough.
func (d *differences) sigmas() (sigma [toneBins]float32) {
	known := make([]int, 0, toneBins)
	for b := range d {
		var n int32
		for _, c := range d[b] {
			n += c
		}
		if n < leastCount {
			continue
		}
		known = append(known, b)
		rest := float64(n) * quietQuantile
		for size, c := range d[b] {
			if rest > float64(c) {
				rest -= float64(c)
				continue
			}
			// Differences are whole numbers: size stands for all that round to it.
			low := math.Max(float64(size)-0.5, 0)
			sigma[b] = float32((low + (float64(size)+0.5-low)*rest/float64(c)) / quietSigmas)
			break
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

func clampBin(v int16) int { return int(min(max(v, 0), 1<<levelBits-1)) >> binShift }

func abs(v int16) int16 {
	if v < 0 {
		return -v
	}
	return v
}
