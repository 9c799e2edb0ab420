// Package detect looks for mid grey in one frame of a clip: a 24-patch chart, a grey card, a face. It
// says how sure it is, and finds nothing where nothing is. The search runs on an image pyramid of
// the signal; the light is measured on the frame's own samples.
package detect

import (
	"image"
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// Options set what is looked for. The zero value is ready for use.
type Options struct {
	Edition     Edition        // of the chart
	Reflectance curve.Ratio    // of a grey card, 0..1; 0 means 0.18
	Ceiling     curve.FileCode // at which this recording clips; 0 where it was not measured
	// SmallestChart is the width in pixels of the smallest chart to look for; 0 means 60, or
	// 1/32 of the frame's width if that is more. Halving it takes four times as long.
	SmallestChart int
	// RotationDeg is how far the frame must be turned clockwise for display: 0, 90, 180, 270.
	// Faces are only found upright.
	RotationDeg int
	SkipFaces   bool        // look for charts and cards only
	Doubtful    curve.Ratio // least confidence to report; 0 means Params.Search.Doubtful
	Params      *Params     // nil means DefaultParams
	Told        func()      // called after each part of the search; nil for nobody
}

// A Detection is what was found in a place.
type Detection struct {
	Corners geometry.Quad   // round the thing, clockwise from its own top left where it has one
	Region  image.Rectangle // an upright area inside, to measure over the clip
	// RegionStops is the published or assumed level of Region over 18 %: what Region reads less
	// this is the placement.
	RegionStops curve.Stops
	Stops       curve.Stops // placement: how far the light of 18 % lies over nominal
	Error       curve.Stops // one standard error of Stops
	Reading     curve.Stops // of it, what the noise of the area read leaves
	Confidence  curve.Ratio // 0..1 that this is what it is taken for
}

// defaults is what a nil Options.Params stands for.
var defaults = DefaultParams()

func (o Options) withDefaults(width int) Options {
	if o.Params == nil {
		o.Params = &defaults
	}
	if o.Reflectance <= 0 {
		o.Reflectance = curve.MidGrey
	}
	p := &o.Params.Search
	if o.Doubtful <= 0 {
		o.Doubtful = curve.Ratio(p.Doubtful)
	}
	if o.SmallestChart <= 0 {
		o.SmallestChart = max(p.SmallestPx, width/p.SmallestPart)
	}
	return o
}

// reduction returns how many times smaller the frame is searched: an even number, so that chroma
// and luma are reduced alike, or 1.
func (o Options) reduction() int {
	n := o.SmallestChart / o.Params.Search.PxPerReduction
	if n > 1 {
		n -= n % 2
	}
	return max(n, 1)
}

// doubtful reports whether a confidence is too low to be told.
func (o Options) doubtful(confidence curve.Ratio) bool { return confidence < o.Doubtful }

// of returns the factor for a number.
func (r Ramp) of(x float64) float64 {
	return math.Min(math.Max((x-r.None)/(r.Full-r.None), 0), 1)
}
