// Package detect looks for mid grey in one frame of a clip: a 24-patch chart, a grey card, a face. It
// says how sure it is, and finds nothing where nothing is. The search runs on a reduced image of
// the signal; the light is measured on the frame's own samples.
package detect

import (
	"image"

	"stopledger/curve"
	"stopledger/decode"
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
	Doubtful    curve.Ratio // least confidence to report; 0 means 0.5
}

// A Detection is what was found in a place.
type Detection struct {
	Corners geometry.Quad   // round the thing, clockwise from its own top left where it has one
	Region  image.Rectangle // an upright area inside, to measure over the clip
	// RegionStops is the published or assumed level of Region over 18 %, in stops: what Region
	// reads less this is the placement.
	RegionStops curve.Stops
	Stops       curve.Stops // placement: how far the light of 18 % lies over nominal
	Error       curve.Stops // one standard error of Stops
	Confidence  curve.Ratio // 0..1 that this is what it is taken for
}

// Findings are what one frame shows, each list the surest first.
type Findings struct {
	Index  int           // of the frame in the clip
	Time   curve.Seconds // of the frame
	Charts []Chart
	Cards  []Card
	Faces  []Face
}

const (
	// certain is the confidence below which nothing is reported. Ours: in our trials scenes
	// without card or chart stay below, see the tests.
	certain        = 0.5
	pxPerReduction = 30 // a chart of 60 px still shows its patches in a frame halved
)

func (o Options) withDefaults(width int) Options {
	if o.Reflectance <= 0 {
		o.Reflectance = curve.MidGrey
	}
	if o.Doubtful <= 0 {
		o.Doubtful = certain
	}
	if o.SmallestChart <= 0 {
		o.SmallestChart = max(60, width/32)
	}
	return o
}

// reduction returns how many times smaller the frame is searched: an even number, so that chroma
// and luma are reduced alike, or 1.
func (o Options) reduction() int {
	n := o.SmallestChart / pxPerReduction
	if n > 1 {
		n -= n % 2
	}
	return max(n, 1)
}

// Look searches one frame, read by r and m.
func Look(f *decode.Frame, r curve.Reading, m curve.Matrix, opt Options) Findings {
	opt = opt.withDefaults(f.Planes[0].Width)
	found := Findings{Index: f.Index, Time: curve.Seconds(f.Time)}
	levels := pyramid(f, r, m, opt.reduction())
	if min(levels[0].w, levels[0].h) < smallestLevel {
		return found
	}
	s := &search{tones: newToneTable(r), matrix: m, levels: levels}
	s.run(f.Layout != decode.Gray)
	t := newMeter(f, r, m, opt.Ceiling)
	found.Charts = readCharts(t, s, opt)
	found.Cards = readCards(t, s, found.Charts, opt)
	if !opt.SkipFaces {
		found.Faces = readFaces(t, s, opt)
	}
	return found
}
