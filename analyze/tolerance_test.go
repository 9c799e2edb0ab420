package analyze_test

// Tolerances, with their reasons. The synthetic camera's truth is exact, so that what is left is
// the spread of a finite sample and what an instrument cannot know.
const (
	// sigmaLossless: of a tone's noise, relative. A cell's tone is known to a few hundredths of a
	// stop, over which noise in codes changes by a percent or two.
	sigmaLossless = 0.05
	// floorLossless: stops; half a decibel of sigma where SNR is 1.
	floorLossless = 0.15
	// ceilingCodes: 10-bit codes; a histogram peak is found to a code, rounding of Y', Cb, Cr adds one.
	ceilingCodes = 2.0
	// ceilingLamps: 10-bit codes; edges draw the peak of a few samples down and coding moves it.
	ceilingLamps = 2.2
	// lampsMissed: of what clips of lamps. A chroma sample at their edge holds too much of what is
	// beside them: of a disc four pixels across that is half.
	lampsMissed = 0.55
	// shareLossless and shareCoded: of the frame. Chroma subsampling blurs the edge of an area by
	// a sample, coding by a few more.
	shareLossless = 0.005
	shareCoded    = 0.01
	// placementLossless and placementCoded: stops.
	placementLossless = 0.02
	placementCoded    = 0.05
	// variationShare: of a step or swing. A step within a group is shared out over both sides.
	variationShare = 0.10
	// driftShare: of a drift; the last frame's own length is 1 % of 96 frames.
	driftShare = 0.02
)
