package chart

import "stopledger/report"

// OfClip returns the drawings of a clip: those that there are numbers for.
func OfClip(c *report.Clip) (drawings []Drawing) {
	for _, draw := range []func(*report.Clip) (Drawing, bool){
		histogram, snr, transfer, placementOverTime, clippedOverTime,
	} {
		if d, ok := draw(c); ok {
			drawings = append(drawings, d)
		}
	}
	return drawings
}
