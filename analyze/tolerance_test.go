package analyze

// Tolerances, with their reasons. The synthetic camera's truth is exact, so that what is left is
// the spread of a finite sample and what an instrument cannot know.
const (
	// sigmaLossless: of a tone's noise, relative. A cell's tone is known to a few hundredths of a
	// stop, over which noise in codes changes by a percent or two.
	sigmaLossless = 0.05
	// floorLossless: stops; half a decibel of sigma where SNR is 1.
	floorLossless = 0.15
	// modelParts: of read and shot noise where both are large enough to tell apart, relative.
	modelParts = 0.10
	// ceilingCodes: 10-bit codes; a pile-up is found to a code, rounding of Y', Cb, Cr adds one.
	ceilingCodes = 2.0
	// ceilingLamps: 10-bit codes; edges draw the pile-up of a few samples down and coding moves it.
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
	// grainShare: of a grain's side, from some ten thousand samples.
	grainShare = 0.05
	// patternShare: of a standing pattern, from four hundred cells; patternRest: of what else is in
	// a cell, which the pattern is told from by its variance.
	patternShare = 0.06
	patternRest  = 0.15
	// channelFull and channelHalved: of a channel's noise, at full and at chroma resolution.
	channelFull   = 0.02
	channelHalved = 0.04
	// snrOfTakes: dB, at scene -4 stops: what tells two exposures apart is a few.
	snrOfTakes = 0.5
	// foundGrey: stops, of a card or chart found in a lit scene, where light falls off over it.
	foundGrey = 0.10
)
