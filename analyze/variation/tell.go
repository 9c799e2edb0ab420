package variation

import (
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// leastMoments is how many groups of frames tell a drift or a step.
const leastMoments = 4

// tell tells drift, step and flicker apart. moments has one level a group, frames the levels of
// the frames of each group, rate is frames a second.
func tell(moments []placement.At, frames [][]placement.At, rate float64) Result {
	none := curve.Unknown[curve.Stops]()
	r := Result{Drift: none, Step: none, StepAt: curve.Unknown[curve.Seconds]()}
	r.Flicker, r.FlickerHz = flicker(frames, rate)
	if len(moments) < leastMoments {
		return r
	}
	if step, at, ok := findStep(moments); ok {
		r.Step, r.StepAt = step, at
		return r
	}
	// Groups stand in the middle of their shares of the clip: the first and the last miss half one.
	n := float64(len(moments))
	if d := placement.Drift(moments) * curve.Stops(n) / curve.Stops(n-1); math.Abs(float64(d)) >= float64(limit.Drift) {
		r.Drift = d
	}
	return r
}

// findStep looks for the split that leaves the least squares on both sides. It is a step, not a
// drift, when two flat sides explain the moments at least twice as well as a straight line.
func findStep(m []placement.At) (step curve.Stops, at curve.Seconds, ok bool) {
	best := math.Inf(1)
	for split := 1; split < len(m); split++ {
		left, right := mean(m[:split]), mean(m[split:])
		if rest := squares(m[:split], left) + squares(m[split:], right); rest < best {
			best, step, at = rest, curve.Stops(right-left), m[split].T
		}
	}
	size, scatter := math.Abs(float64(step)), math.Sqrt(best/float64(len(m)))
	return step, at, size >= float64(limit.Step) && size > 4*scatter && 2*best < offLine(m)
}

// offLine returns the sum of squares about the straight line fitted to the moments.
func offLine(m []placement.At) (sum float64) {
	first, last := float64(m[0].T), float64(m[len(m)-1].T)
	slope := float64(placement.Drift(m)) / (last - first)
	centre, middle := mean(m), (first+last)/2
	for _, x := range m {
		d := float64(x.Stops) - centre - slope*(float64(x.T)-middle)
		sum += d * d
	}
	return sum
}

func mean(m []placement.At) float64 {
	var sum float64
	for _, x := range m {
		sum += float64(x.Stops)
	}
	return sum / float64(len(m))
}

// squares returns the sum of squares about a centre.
func squares(m []placement.At, centre float64) float64 {
	var sum float64
	for _, x := range m {
		d := float64(x.Stops) - centre
		sum += d * d
	}
	return sum
}
