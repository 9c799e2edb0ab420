package report

import (
	"math"

	"stopledger/analyze/advise"
	"stopledger/curve"
)

// SameChange tells whether two exposure changes print alike.
func SameChange(a, b curve.Stops) bool { return math.Abs(float64(a-b)) < 0.005 }

// GradedAt returns the noise as displayed after an exposure change, nil where it was not worked
// out.
func (c *Clip) GradedAt(change curve.Stops) *advise.Graded {
	for i := range c.Noise.Graded {
		if SameChange(c.Noise.Graded[i].Stops, change) {
			return &c.Noise.Graded[i]
		}
	}
	return nil
}
