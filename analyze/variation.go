package analyze

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

const (
	leastDrift   = 0.10 // stops over the clip; a tenth is not seen: common practice, no source
	leastStep    = 0.15 // stops between two groups
	leastFlicker = 0.02 // stops peak to peak
	// flickerShare is how much of the frame-to-frame variation the mains ripple must explain.
	flickerShare = 0.6
)

// A levelAt is the level of one moment in stops.
type levelAt struct{ t, stops float64 }

// measureVariation tells drift, step and flicker apart. moments has one level a group, frames
// the levels of the frames of each group, rate is frames a second.
func measureVariation(moments []levelAt, frames [][]frameLevel, rate float64) Variation {
	v := Variation{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}
	v.Flicker, v.FlickerHz = flicker(frames, rate)
	if len(moments) < 4 {
		return v
	}
	if step, at, ok := findStep(moments); ok {
		v.Step, v.StepAt = step, at
		return v
	}
	// Groups stand in the middle of their shares of the clip: the first and the last miss half one.
	n := float64(len(moments))
	if d := drift(moments) * n / (n - 1); math.Abs(d) >= leastDrift {
		v.Drift = d
	}
	return v
}

// drift returns last less first along a straight line through the moments.
func drift(moments []levelAt) float64 {
	if len(moments) < 2 {
		return math.NaN()
	}
	t, stops := make([]float64, len(moments)), make([]float64, len(moments))
	for i, m := range moments {
		t[i], stops[i] = m.t, m.stops
	}
	_, slope := stat.LinearRegression(t, stops, nil, false)
	return slope * (t[len(t)-1] - t[0])
}

// findStep looks for the split that leaves the least variation on both sides. It is a step, not
// a drift, when two flat sides explain the moments at least twice as well as a straight line.
func findStep(m []levelAt) (step, at float64, ok bool) {
	best := math.Inf(1)
	for split := 1; split < len(m); split++ {
		left, right := mean(m[:split]), mean(m[split:])
		if rest := squares(m[:split], left) + squares(m[split:], right); rest < best {
			best, step, at = rest, right-left, m[split].t
		}
	}
	slope := drift(m) / (m[len(m)-1].t - m[0].t)
	centre, middle := mean(m), (m[0].t+m[len(m)-1].t)/2
	var line float64
	for _, x := range m {
		d := x.stops - centre - slope*(x.t-middle)
		line += d * d
	}
	scatter := math.Sqrt(best / float64(len(m)))
	return step, at, math.Abs(step) >= leastStep && math.Abs(step) > 4*scatter && 2*best < line
}

func mean(m []levelAt) float64 {
	var sum float64
	for _, x := range m {
		sum += x.stops
	}
	return sum / float64(len(m))
}

func squares(m []levelAt, centre float64) float64 {
	var sum float64
	for _, x := range m {
		sum += (x.stops - centre) * (x.stops - centre)
	}
	return sum
}

// alias returns the frequency at which a ripple is seen at a frame rate: its distance to the
// nearest multiple of the rate.
func alias(ripple, rate float64) float64 {
	return math.Abs(ripple - rate*math.Round(ripple/rate))
}

// flicker fits the beat of 100 and 120 Hz light with the frame rate to the levels of each group,
// in its own phase, after taking out each group's straight line. It returns the peak-to-peak
// swing in stops and the beat's frequency, NaN when neither explains what varies.
func flicker(frames [][]frameLevel, rate float64) (stops, hz float64) {
	stops, hz = math.NaN(), math.NaN()
	if rate <= 0 {
		return stops, hz
	}
	best := flickerShare
	for _, ripple := range []float64{100, 120} {
		f := alias(ripple, rate)
		if f < 0.5 { // slower than a group: it shows as drift, or not at all
			continue
		}
		swing, explained := fitBeat(frames, f)
		if explained > best && swing >= leastFlicker {
			best, stops, hz = explained, swing, f
		}
	}
	return stops, hz
}

// fitBeat returns the peak-to-peak swing at frequency f, the median over the groups, and the
// share of the variance that it explains, freedom counted. A step swings in one group only.
func fitBeat(frames [][]frameLevel, f float64) (swing, explained float64) {
	var total, fitted, freeTotal, freeRest float64
	var swings []float64
	for _, g := range frames {
		if len(g) < 6 {
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
	return median(swings), 1 - rest/(total/freeTotal)
}

// fitSine fits a sine of frequency f to one group's levels less their straight line; it returns
// its amplitude, the sum of squares before and the part explained.
func fitSine(g []frameLevel, f float64) (amplitude, total, part float64) {
	n := len(g)
	t, level, cosine, sine := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i, x := range g {
		t[i], level[i] = x.t, x.stops
		sine[i], cosine[i] = math.Sincos(2 * math.Pi * f * x.t)
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

// straighten takes the straight line out of a series.
func straighten(t, series []float64) {
	offset, slope := stat.LinearRegression(t, series, nil, false)
	for i := range series {
		series[i] -= offset + slope*t[i]
	}
}
