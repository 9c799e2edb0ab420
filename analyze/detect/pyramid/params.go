package pyramid

// Params are the numbers that decide which pixels of a level are flat. They are ours, from trials
// on random scenes, but where a source is given. Codes are on a level's 12-bit scale.
type Params struct {
	SmallestLevel int     // pixels: the least side of a level worth searching
	DeepestTone   float64 // recorded stops below which all is noise
	SlopeReach    float64 // codes to either side over which a curve's slope is taken

	// The noise is read from a quantile of the differences of pixels two apart, low enough to come
	// from flat areas even in a busy picture.
	QuietQuantile float64 // 0..1
	// QuietSigmas is that quantile of |difference| over its standard deviation in normal noise: the
	// (1 + QuietQuantile) / 2 point of the normal distribution.
	QuietSigmas float64
	LeastCount  int // differences that a bin of luma needs to speak for itself

	// Limits of a steepness, codes: below the least, rounding and compression speak; above the
	// most, not even the edges between neighbouring patches stand out (the two lightest neutrals
	// lie some 200 apart in a logarithmic curve).
	LeastSteep  float64
	MostSteep   float64 // see LeastSteep
	QuantaSteep float64 // steps of coarse chroma that are rounding, whatever the quantile says

	Rim        float64 // pixels that the flat part of a patch falls short of its side, both rims
	ManyPixels int     // of an area are read for its mean signal, or not many more

	// LeastVariety is the standard deviation of a tile's colours, in stops, across the axis along
	// which they vary most: two colours and their mixtures have none. In photographs of leaves,
	// snow and a bench 97 % of tiles stay below 0.25; small charts reach 0.38 and more.
	LeastVariety float64
	// Stillness is what the change at a still point may be of the largest around it.
	Stillness float64
}

// DefaultParams returns the parameters in use.
func DefaultParams() Params {
	return Params{
		SmallestLevel: 40, DeepestTone: -8, SlopeReach: 20,
		QuietQuantile: 0.3, QuietSigmas: 0.385, LeastCount: 200,
		LeastSteep: 10, MostSteep: 200, QuantaSteep: 2.2,
		Rim: 2.5, ManyPixels: 4000,
		LeastVariety: 0.28, Stillness: 0.5,
	}
}

// Sizes of arrays and tables, which no trial set.
const (
	levelBits = 12            // depth of a level's scale
	toneBins  = 32            // of luma, over that scale
	binShift  = levelBits - 5 // from a code to its bin
	deepest   = 256           // codes: larger differences are counted as this
	tileSide  = 16            // pixels of the finest level, of a tile that is busy or not
	indexCell = 12            // pixels, of a cell of an Index
)
