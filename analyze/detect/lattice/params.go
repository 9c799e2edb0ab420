package lattice

// Params set what patches on a regular grid may look like. They are ours, from trials.
type Params struct {
	LeastNodes      int     // components on a lattice that make it worth a look: near half of a chart's patches
	LeastSquareness float64 // of a component that may be a patch, see pyramid.Component
	MostElongation  float64 // of it
	LargestSide     int     // pixels: a finer level's large patch is a coarser one's small one
	SideTolerance   float64 // ratio of the sides of neighbours
	StepTolerance   float64 // of the shorter step, for the next node
	Reach           float64 // sides of a patch within which its neighbours' centres lie
	Clear           float64 // sides within which they don't
	MostSteps       int     // neighbours, and pairs of them, that are tried from a start
	StepRatio       float64 // of the longer to the shorter step of a pair
	LeastSine       float64 // of the angle between them
	News            float64 // share of a step taken from the latest node: a centre is only good to a part of a pixel
	HeldShare       float64 // of the nodes in the fullest window that another must hold
}

// DefaultParams returns the parameters in use.
func DefaultParams() Params {
	return Params{
		LeastNodes: 10, LeastSquareness: 0.62, MostElongation: 3.2, LargestSide: 36,
		SideTolerance: 2, StepTolerance: 0.25, Reach: 2.2, Clear: 0.5,
		MostSteps: 6, StepRatio: 2.2, LeastSine: 0.6, News: 0.5, HeldShare: 0.75,
	}
}

// The chart's size in patches, and a lattice's, which is no tuning.
const (
	Columns = 6
	Rows    = 4
	reach   = 5 // places to either side: a chart is six patches long, whichever of them comes first
	size    = 2*reach + 1
)
