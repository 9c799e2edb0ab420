package clipping

import (
	"math"

	"stopledger/curve"
)

// Clipped light piles up on one code, unclipped light lies on any code alike: more cells on a level than
// those under it let expect show the one, by so many standard deviations and so many times as many. The
// limits were set on the synthetic camera of decode/synth/footage (seeds below 1000).
const (
	pilesBy    = 3.5 // and from mayPileBy on they may
	mayPileBy  = 2.0
	pilesTimes = 1.5
)

// pilesUp tells whether cells pile up on a level by so many standard deviations; width is that of the level over
// that of the codes under it in which the others lie. Of counts of one density the difference has the variance of
// the one plus that of the other as it is scaled.
func pilesUp(on, under int, width curve.Code, by float64) bool {
	expected := float64(width) * float64(under)
	return float64(on) >= pilesTimes*expected && float64(on)-expected >= by*math.Sqrt(expected*(1+float64(width)))
}
