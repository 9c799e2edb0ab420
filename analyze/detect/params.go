package detect

import (
	"stopledger/analyze/detect/lattice"
	"stopledger/analyze/detect/pyramid"
)

// Params are all the numbers that decide what is found. They are ours, but where a source is given:
// set on random charts, cards and scenes with neither (seeds below 32000 of package pose), so that
// few things are missed and fewer invented. Command retune shows what each of them is worth on
// other seeds. Codes are on the 12-bit scale of a pyramid's levels; a pitch is the distance of two
// patches of a chart.
type Params struct {
	Search   SearchParams   // what is searched and read
	Flat     pyramid.Params // what is flat in a level
	Lattice  lattice.Params // patches on a regular grid
	Chart    ChartParams    // what makes a chart
	Refine   RefineParams   // how its grid is moved onto its patches
	Neutrals NeutralParams  // which of its neutrals make its line
	Doubt    DoubtParams    // when that puts the curve in doubt
	Card     CardParams     // what may be a card
	Edge     EdgeParams     // what is an edge of it
	Crowd    CrowdParams    // which areas around it count
	Worth    WorthParams    // what speaks for a card
	Face     FaceParams     // the search for faces
	Agree    AgreeParams    // when sightings are of one thing
}

// A Ramp turns a number into a factor: 0 at None, 1 at Full, straight between, whichever is larger.
type Ramp struct{ None, Full float64 }

// SearchParams set what is searched and read.
type SearchParams struct {
	// Doubtful: confidence below which nothing is reported: in trials scenes without card or chart
	// stay below
	Doubtful       float64
	PxPerReduction int // a chart of twice this width still shows its patches in a frame halved
	SmallestPx     int // pixels: the smallest chart looked for is no smaller,
	SmallestPart   int // nor than the frame's width over this

	// Flat areas are drawn closely, which keeps soft edges apart, and loosely, which keeps patches
	// whole that noise or coding has made rough, colour above all; on the finest level, the
	// dearest, the close drawing is a little less so.
	Close, Loose, Finest pyramid.Drawing

	SureOfChart float64 // confidence of a chart seen so that no smaller one is looked for,
	SureNodes   int     // and patches of it seen flat
	// NearTop: share of a file's codes below its last that no camera should clip at, where no
	// ceiling was measured
	NearTop    float64
	MostPixels float64 // are read from an area; a large one is read in steps
	// MostCast: stops that the frame's cast may have: a scene that is all one colour says nothing
	// of the light
	MostCast       float64
	LeastPatchArea int // pixels of the smallest component kept
}

// ChartParams set what makes a chart.
type ChartParams struct {
	LeastLikeness float64 // correlation on each axis that a first look must show
	// LeastExplained: share of variance on each axis; mirrored or turned charts and chance grids
	// stay far below
	LeastExplained float64
	FullExplained  float64 // share that is certain: prints and phone pictures lie at 0.85 and up
	LeastVariety   float64 // stops, standard deviation of redness and of blueness; the published ones have 1.9
	LeastUsed      int     // patches that must be left in a match
	LeastFit       int     // patches below which the axes are not fitted at all
	// LeastDistance: of a patch from the fit where all is well, as a share of the axes' spread:
	// another camera's colours
	LeastDistance float64
	MostDistance  float64 // times the median distance from which a patch is odd
	LeastSpread   float64 // stops of an axis's spread at least, in that distance
	Rounds        int     // of the match's trimmed fit

	MostPerspective float64 // ratio of opposite sides of the grid
	GatherReach     float64 // pitches from where a patch should be to its component
	GatherArea      float64 // most of a cell's area that a patch's component may have
	MostMiss        float64 // times the median miss beyond which a point is left out of the plane's fit,
	MissSlack       float64 // pixels on top
	LeastPoints     int     // that must be left in that fit
	Sample          float64 // pitches to either side that are read of a patch: 0.2 is its middle 44 %

	OddFree  int     // patches that may be left out at no cost
	OddCost  float64 // of confidence for each more
	OddMerit float64 // of merit, among views of one chart, for each patch left out
	NodeGain float64 // of merit for each patch seen flat
	StillPay float64 // of merit for a chart seen by still points only, whose place is less sure
	FewWorth float64 // of a chart with fewer than three neutrals left: the curve cannot be judged
	Region   float64 // pitches to either side that are measured over the clip
}

// RefineParams set how a chart's grid is moved onto its patches.
type RefineParams struct {
	MostTries  int        // places tried for one chart
	Apart      float64    // pitches by which two of them differ
	EnoughPx   float64    // pixels from patch to patch that a level must show
	Steps      [3]float64 // pitches that corners are moved by
	Rounds     int        // at each step
	LessUneven float64    // share by which a move must better the patches, so that noise moves nothing
	Inside     float64    // pitches to either side over which a patch must be even: to a tenth of its edge
	EdgeCode   float64    // codes of deviation that count as an edge: about what two patches differ by,
	EdgeNoise  float64    // or times the median of the patches' own
}

// NeutralParams set which of a chart's neutrals make its line.
type NeutralParams struct {
	Darkest     float64 // recorded stops: below, a curve's foot and flare speak
	MostClipped float64 // share of clipped pixels a neutral may have
	// OffLine: stops a neutral may stand from the line of the others: editions differ by 0.05,
	// sheen and flare move more
	OffLine float64
	// WithWhite: the part of their published distance within which the second lightest neutral clips with the
	// lightest. Common practice, no source.
	WithWhite  float64
	WellBelow  float64 // stops under a line from which a neutral speaks against it,
	DarkBelow  float64 // and times as far if it is too dark to be used
	LeastSlope float64 // one curve read as another stays between this
	MostSlope  float64 // and this
	// EditionSpread: stops, standard deviation between the editions' values of one patch: bounds
	// how well any chart is known
	EditionSpread float64
	// GlareStops: stops by which a neutral that stands off the rest's colours is brighter when it
	// is glare
	GlareStops float64
	// GlareSlope: off 1 that the slope of three neutrals may lie when glare is what lifted as many
	// others: as the curve says, which three of a rendered picture do by chance only
	GlareSlope float64

	UnevenErrors  float64 // errors by which the slope of the light must stand out,
	LeastUneven   float64 // and stops over the whole chart that it must make
	UnevenPatches int     // needed to tell it
}

// DoubtParams set when a chart's line puts the curve in doubt.
type DoubtParams struct {
	// Slope: any two published log curves told apart by a chart differ by 0.055 or more in slope,
	// editions of the chart by 0.009, uneven light of 0.1 stop by 0.02.
	Slope       float64
	Residual    float64 // stops: a right curve stays under
	FitSlope    float64 // off 1 that a curve which would fit must keep to
	FitResidual float64 // stops that it must keep to
	Straight    float64 // stops: what the editions' differences leave of a wrong curve's line
	LeastCurve  int     // neutrals on the line of a wrong curve: three that glare lifted may lie so by chance
	LeastRange  float64 // stops of published range that the used neutrals must span for the slope to say anything
	LeastBend   float64 // stops of residual from which flare may be what bends the line,
	FlareLeaves float64 // if it takes away all but this share of it
	MostFlare   float64 // share of a perfect white's light that is tried
	FlareStep   float64 // between two that are tried
}

// CardParams set what may be a card and how a would-be card is looked at.
type CardParams struct {
	LeastShare      float64 // of the frame's width, for the shorter side
	LeastPx         float64 // and in pixels of the level
	MostShare       float64 // of the frame's area
	LeastFilled     float64 // of the quad, by one component
	LeastOutline    float64 // of the quad, by the component's convex hull: an ellipse has 0.785
	LeastSquareness float64 // of the component
	MostOpposite    float64 // ratio of opposite sides, perspective
	MostAspect      float64 // ratio of neighbouring sides, foreshortening included
	LeastSine       float64 // of the corners' angles

	Middle float64 // of the quad each way that is read: fingers hold a card by its rim
	// Spread: stops, standard deviation of a card's reflectance: sheen and tilt move it 0.1 to 0.3.
	// Common practice, no source
	Spread      float64
	MostAlike   int     // cards of about one size, none surer than the others, beyond which none is a card,
	AlikeRatio  float64 // their areas' ratio,
	AlikeSurer  float64 // and share of the best's confidence that counts
	SeenSure    float64 // confidence from which no second view of a card is looked at
	SameArea    float64 // ratio of areas of two views of one card
	SamePlace   float64 // sides between their centres
	AroundStops float64 // tolerance of what counts as of its very tone around it
	AroundReach float64 // times its size that this is looked for in
	AroundRim   float64 // pixels around it left out
	AroundLevel int     // of the pyramid on which it is looked for
	EvenInside  float64 // of the quad each way that a plane of light is fitted to
	EvenPixels  float64 // read for that
	EvenRounds  int     // of that trimmed fit
	EvenSigmas  float64 // standard deviations from which a pixel is left out
	LeastNoise  float64 // of the least steepness that the noise is taken for
	// Brighter: stops: white paper has little of its scene that far above it, an 18 % card all that
	// is lighter than 36 %
	Brighter float64
}

// EdgeParams set what is seen as an edge of a card.
type EdgeParams struct {
	Margin         float64 // of a side's length left out at its ends
	OnLine         float64 // pixels that a step may lie off the side's line
	MostMoved      float64 // pixels that a corner may lie off where it was taken to be
	LeastProbes    int     // steps that a side needs
	Apart          int     // places between the probes of a pair whose slope counts
	Steepest       float64 // of the largest step, which belong to the edge's middle
	WellSeen       float64 // share of a side that an edge must be seen on
	SmallestTraced float64 // pixels of the shorter side: any rough spot has four sides when it is small
	SharpEnough    float64 // median sharpness and
	SeenEnough     float64 // mean share seen from which no coarser level is asked
	Averaged       float64 // share of the noise left by the pixels that a probe averages
	StepFloor      float64 // times the least steepness that a step must have

	// CornerCode: codes that a corner's signal may be off at least: coding smears colour there; a
	// sixth of a stop in a logarithmic curve
	CornerCode  float64
	CornerSteps float64 // steps that it may be off otherwise
	InsetPx     float64 // pixels from the corner at which it is read: clear of the edge's blur,
	LeastInset  float64 // but within these shares of the diagonal: out where an ellipse
	MostInset   float64 // would not reach (0.146)

	CarryShare    float64 // of a side's length that is looked along beyond its end,
	CarryLeast    float64 // pixels at least
	CarryMost     float64 // and at most,
	CarryClear    float64 // pixels of it left out;
	CarryContrast float64 // of the side's contrast that counts there,
	CarryOff      float64 // pixels off its line,
	CarrySeen     int     // probes of eight that must see it
}

// CrowdParams set which other areas around a would-be card count.
type CrowdParams struct {
	Itself       float64 // the part of its side within which an area is the card itself or part of it
	Near         float64 // sides within which others are close by
	TwinSize     float64 // ratio of areas of twins, in all the frame,
	TwinShape    float64 // and difference of their shapes
	NearSize     float64 // the same of the next tile, key, patch
	NearShape    float64 // see TwinShape
	CompanySize  float64 // the same of compact ones
	CompanyShape float64 // see TwinShape
	Compact      float64 // squareness from which an area is compact
	WallLeast    float64 // times that a part of a wall may be smaller than the card
	WallMost     float64 // and larger
	StepInside   float64 // of a quad each way within which a step's centre lies,
	StepShare    float64 // and share of its area that the step has at least
	StepReach    float64 // sides from one step of a greyscale to the next at most,
	StepOff      float64 // sides that the third may lie off the line of two,
	StepCode     float64 // and codes between them at least: a fifth of a stop in a logarithmic curve
	OwnPlace     float64 // sides from the card's centre to its own component's
	OwnArea      float64 // ratio of their areas
}

// WorthParams are what speaks for a card, each factor 0..1; they are multiplied.
type WorthParams struct {
	Shape      float64 // puts a half where few cards are missed and little else passes
	Corners    Ramp    // filled corners, of 4
	Carried    Ramp    // ends of sides at which the edge goes on, of 8
	Rough      Ramp    // unevenness in units of the noise, or
	RoughStops Ramp    // in stops
	Texture    Ramp    // unevenness in stops, however noisy
	// Even, Tint: unevenness in stops, and stops between channels, of what is as even and as neutral
	// as a card is made and little in nature: it needs less from its shape, so that a root of its
	// confidence is taken
	Even, Tint   Ramp
	EvenRoot     float64 // at best: 2 is the square root
	Tinted       Ramp    // stops between channels that may cost
	TintedCost   float64 // this much
	Lifeless     float64 // stops of unevenness and of slope below both of which a field is clipped, which
	LifelessCost float64 // costs this much
	Slope        Ramp    // stops of light from side to side, and
	// SlopeWide: more for the root of its share of the frame: the more of the room's fall of light
	// lies on it
	SlopeWide    float64
	Around       Ramp    // area around it of its very tone, over its own, or
	AroundEnds   Ramp    // ends at which the edge goes on
	Sides        Ramp    // mean share of the sides that is seen
	Strong       Ramp    // sides seen well, of 4
	Sharp        Ramp    // median share of the change across a side that is a step
	Share        Ramp    // of the frame's area
	Filled       Ramp    // share of its quad that is one component
	Outline      Ramp    // share of its quad that the component's hull has, which may cost
	OutlineCost  float64 // this much
	Near         Ramp    // see CrowdParams
	Twins        Ramp    // see CrowdParams
	Company      Ramp    // see CrowdParams
	Walled       Ramp    // see CrowdParams
	Dark         Ramp    // recorded stops: not in the noise,
	Bright       Ramp    // nor at the top,
	Clipped      Ramp    // share of clipped pixels,
	BrighterCost float64 // what it may cost to be the brightest thing there is, as white paper is,
	Brighter     Ramp    // share of the frame that is brighter;
	// PaperStops, PaperOver: recorded stops, and stops over the frame's middle, below either of which
	// it costs less: near nominal exposure white paper reads 2.3 stops over, and far over what is about
	PaperStops, PaperOver Ramp

	// Neutral: stops between channels under the camera's white balance as it is: 0.3 is some 500 K
	// off at daylight
	Neutral   Ramp
	Cast      Ramp    // the same after the frame's own cast is taken off, which is weaker
	CastWorth float64 // and counts for less,
	CastOwn   Ramp    // up to so many stops without
}

// FaceParams set the search for faces.
type FaceParams struct {
	ImageSide  int     // pixels: the longer side of the image searched is at most this
	LeastPx    int     // side of the smallest face in that image
	LeastShare float64 // and of its shorter side
	Shift      float64 // of the cascade's window from one to the next
	Growth     float64 // ratio of two sizes of it
	Overlap    float64 // from which two of its detections are one face
	Spread     float64 // stops, standard deviation of skin as a reference. Common practice, no source
	// Score: of the cascade, summed over a cluster of windows: pictures without faces stay below 7,
	// the smallest face has 25
	Score Ramp
	// Skin: left, top, right and bottom of what is read, in sides from the centre: nose and cheeks,
	// below the eyes, above the mouth
	Skin [4]float64
	// Hues of skin in a white balance that is not far off: red over green over blue, in stops,
	// neither by too little nor by much.
	RedLow, RedHigh, BlueLow, BlueHigh Ramp
}

// AgreeParams set when sightings in several frames are of one thing.
type AgreeParams struct {
	// SameStops: by which two sightings may differ: a card turned in the hand changes by 0.1 to
	// 0.3. Common practice, no source
	SameStops     float64
	VerySameStops float64 // the same for a thing that is somewhere else meanwhile
	// VerySamePlace: sizes that it lies off, and share that its size differs by, within which it is the
	// same whatever its stops
	VerySamePlace float64
	MostGrowth    float64 // ratio of sizes between two sightings
	MostOff       float64 // sizes that a distance counts for at most
	LoneWorth     float64 // what a detection is worth that no other of three or more frames repeats
	LoneFrames    int     // frames searched up to which that is not held against it
}

// Sizes of arrays, which no trial set.
const (
	sideProbes  = 24 // places along a side of a card
	probeReach  = 4  // pixels of the level to either side of it
	probeWidth  = 1  // pixels along it, either way, that a probe averages
	carryProbes = 8  // places beyond its end
	patchProbes = 5  // places of a patch each way
)
