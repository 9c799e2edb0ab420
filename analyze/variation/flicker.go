package variation

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// Frequencies of light on 50 and 60 Hz mains, which swells with each half wave.
var ripples = []float64{100, 120}

const (
	// slowestBeat: a beat that is slower shows as drift within a group, or not at all. Hz.
	slowestBeat = 0.5
	// leastFrames is how many frames of a group tell a beat.
	leastFrames = 6
)

// alias returns the frequency at which a ripple is seen at a frame rate: its distance to the
// nearest multiple of the rate.
func alias(ripple, rate float64) float64 {
	return math.Abs(ripple - rate*math.Round(ripple/rate))
}

// flicker fits the beat of 100 and 120 Hz light with the frame rate to the levels of each group,
// in its own phase, after taking out each group's straight line. It returns the peak-to-peak
// swing and the beat's frequency, unknown when neither explains what varies.
func flicker(frames [][]placement.At, rate float64) (swing curve.Stops, hz curve.Ratio) {
	swing, hz = curve.Unknown[curve.Stops](), curve.Unknown[curve.Ratio]()
	if rate <= 0 {
		return swing, hz
	}
	best := float64(limit.FlickerShare)
	for _, ripple := range ripples {
		f := alias(ripple, rate)
		if f < slowestBeat {
			continue
		}
		s, explained := fitBeat(frames, f)
		if explained > best && s >= float64(limit.Flicker) {
			best, swing, hz = explained, curve.Stops(s), curve.Ratio(f)
		}
	}
	return swing, hz
}

// fitBeat returns the peak-to-peak swing in stops at frequency f, the median over the groups, and
// the share of the variance that it explains, adjusted for the degrees of freedom. A step swings
// in one group only.
func fitBeat(frames [][]placement.At, f float64) (swing, explained float64) {
	var total, fitted, freeTotal, freeRest float64
	var swings []float64
	for _, g := range frames {
		if len(g) < leastFrames {
			continue
		}
		amplitude, sum, part := fitSine(g, f)
		total += sum
		fitted += part
		freeTotal += float64(len(g) - 2)
		freeRest += float64(len(g) - 4)
		swings = append(swings, 2*amplitude)
	}
	if total <= 0 {
		return 0, 0
	}
	rest := max(total-fitted, 0) / freeRest
	return robust.Median(swings), 1 - rest/(total/freeTotal)
}

// fitSine fits a sine of frequency f by least squares to one group's levels less their straight
// line; it returns its amplitude, the sum of squares before and the part explained.
func fitSine(g []placement.At, f float64) (amplitude, total, part float64) {
	n := len(g)
	t, level, cosine, sine := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i, x := range g {
		t[i], level[i] = float64(x.T), float64(x.Stops)
		sine[i], cosine[i] = math.Sincos(2 * math.Pi * f * t[i])
	}
	// A drift within the group would pass for a part of a slow beat.
	for _, series := range [][]float64{level, cosine, sine} {
		straighten(t, series)
	}
	cc, cs, ss := floats.Dot(cosine, cosine), floats.Dot(cosine, sine), floats.Dot(sine, sine)
	yc, ys := floats.Dot(level, cosine), floats.Dot(level, sine)
	total = floats.Dot(level, level)
	det := cc*ss - cs*cs
	if det < 1e-6*float64(n*n) {
		// The beat is at half the frame rate: cosine and sine are the same series.
		if cc+ss == 0 {
			return 0, total, 0
		}
		k := math.Hypot(yc, ys) / (cc + ss)
		return k * math.Sqrt((cc+ss)/float64(n)), total, k * math.Hypot(yc, ys)
	}
	a, b := (yc*ss-ys*cs)/det, (ys*cc-yc*cs)/det
	return math.Hypot(a, b), total, a*yc + b*ys
}

// straighten takes the straight line fitted by ordinary least squares out of a series.
func straighten(t, series []float64) {
	offset, slope := stat.LinearRegression(t, series, nil, false)
	for i := range series {
		series[i] -= offset + slope*t[i]
	}
}
