package placement

import (
	"cmp"
	"image"
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/detect"
	"stopledger/analyze/limit"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Search looks for charts, cards and faces in a few frames of a clip.
type Search struct {
	Told func() // called after each part of the search in a frame; nil for nobody

	reading curve.Reading
	matrix  curve.Matrix
	from    GreyFrom
	options detect.Options
	idle    bool // the user says where grey is
	faces   bool // they are looked for where neither chart nor card is sure
	pixels  float64
	found   []detect.Findings // of each frame searched
	passing int               // groups that are still to be passed over
}

// NewSearch returns a search of frames that are turned clockwise for display by rotationDeg.
func NewSearch(r curve.Reading, m curve.Matrix, from GreyFrom, rotationDeg int) *Search {
	s := &Search{reading: r, matrix: m, from: from, options: detect.Options{Edition: from.Edition,
		Reflectance: from.Reflectance, RotationDeg: rotationDeg, SkipFaces: true}}
	switch from.Grey {
	case Scene, Region:
		s.idle = true
	case Chart, Card:
	case Face:
		s.faces = true
	default:
		s.idle = len(from.Regions) > 0
		s.faces = !s.idle
	}
	return s
}

const (
	// passedOver is how many groups are not searched after one in which all is as before.
	passedOver = 2
	// sameLevel is how far they may differ: half of what is told of drift.
	sameLevel curve.Stops = 0.05
)

// Collect searches the first frame of a group for charts and cards, and none of the others. Where all
// frames so far agree on what grey is read from, the next groups are passed over.
func (s *Search) Collect(f *cells.Frame) {
	if s.idle || !f.Start {
		return
	}
	if s.passing > 0 {
		s.passing--
		return
	}
	luma := f.Planes[0]
	s.pixels = float64(luma.Width * luma.Height)
	s.options.Told = s.Told
	at, _ := slices.BinarySearchFunc(s.found, f.Index, func(one detect.Findings, index int) int {
		return cmp.Compare(one.Index, index)
	})
	s.found = slices.Insert(s.found, at, detect.Look(f.Frame, s.reading, s.matrix, s.options))
	if s.agreed() {
		s.passing = passedOver
	}
}

// agreed tells whether a card or a chart is sure that every frame so far shows, two at least, and at the
// same level.
func (s *Search) agreed() bool {
	if len(s.found) < 2 || s.from.Grey == Face {
		return false
	}
	return slices.ContainsFunc(s.Result(s.from, curve.Unknown[curve.Stops]()), func(p *Placement) bool {
		higher := func(a, b At) int { return cmp.Compare(a.Stops, b.Stops) }
		return p.settles() && len(p.Series) == len(s.found) &&
			slices.MaxFunc(p.Series, higher).Stops-slices.MinFunc(p.Series, higher).Stops <= sameLevel
	})
}

// Sure tells whether where grey is needs no more frames: the user says it, or all frames so far agree.
func (s *Search) Sure() bool { return s.idle || s.agreed() }

// Settle ends the search for charts and cards. Where one of them is sure, faces are not asked.
func (s *Search) Settle() {
	if s.from.Grey != Face && s.faces {
		s.faces = !slices.ContainsFunc(s.Result(s.from, curve.Unknown[curve.Stops]()), (*Placement).settles)
	}
}

// CollectFaces searches a frame for faces that was searched for charts and cards, once it is settled
// whether they are asked.
func (s *Search) CollectFaces(f *cells.Frame) {
	if !s.faces {
		return
	}
	for i := range s.found {
		if s.found[i].Index == f.Index {
			s.found[i].Faces = detect.LookForFaces(f.Frame, s.reading, s.matrix, s.options)
		}
	}
}

// Merge adds what another search found in other frames.
func (s *Search) Merge(other *Search) {
	s.pixels = max(s.pixels, other.pixels)
	s.found = append(s.found, other.found...)
}

// Result returns what the frames agree on: every card and chart, and the surest face. scene is the
// clip's log-average.
func (s *Search) Result(from GreyFrom, scene curve.Stops) (all []*Placement) {
	var face *Placement
	var charts []geometry.Quad
	tones := s.tones(scene)
	for _, e := range detect.Agree(s.found) {
		p := s.placement(&e, from, tones)
		switch {
		case p.Method == Chart:
			charts = append(charts, e.Best.Corners)
			all = append(all, p)
		case p.Method == Card:
			// Where a chart was not recognised in every frame, its patches look like cards.
			patch := func(q geometry.Quad) bool { return q.Contains(e.Best.Corners.Centre()) }
			if !slices.ContainsFunc(charts, patch) {
				all = append(all, p)
			}
		case face == nil || p.Confidence > face.Confidence:
			face = p
		}
	}
	if face != nil {
		all = append(all, face)
	}
	return all
}

// placement turns what frames agree on into a placement.
func (s *Search) placement(e *detect.Evidence, from GreyFrom, scene detect.Tones) *Placement {
	stops := e.Stops
	brighter := curve.Stops(math.Log2(float64(from.Reflectance) / curve.MidGrey))
	p := &Placement{Stops: stops, Reflectance: from.Reflectance, Confidence: e.Confidence, Chart: e.Best.Chart}
	reads := stops + brighter
	switch e.Kind {
	case detect.ChartKind:
		p.Method, p.Reflectance, reads = Chart, curve.MidGrey, stops
		p.Doubt = chartDoubt(e.Best.Chart)
		p.Weak = p.Doubt != ""
	case detect.CardKind:
		p.Method = Card
		over := 1 - ramp(reads, limit.OverSure, limit.OverHalf)/2
		p.Confidence *= likely(reads-scene.Middle, scene.Spread) * over * s.large(e)
	case detect.FaceKind:
		// A face reads what skin is; the user may say what it reflects.
		p.Method, reads = Face, stops
		p.Stops -= brighter
		p.Weak = from.Subject != FaceSubject
	}
	p.place(e, p.Stops-stops)
	p.setCode(s.reading, s.reading.CodeOf(reads.Light()))
	known := math.Sqrt(math.Max(float64(e.Error*e.Error-e.Reading*e.Reading), 0))
	p.setInterval(float64(e.Reading), curve.Stops(1.96*known))
	return p
}

// place takes the area, the corners and the series, shifted by some stops, from what was seen.
func (p *Placement) place(e *detect.Evidence, shift curve.Stops) {
	p.Region = placeOf(e.Best.Region)
	for _, seen := range e.Sightings {
		p.Series = append(p.Series, At{seen.Time, seen.Stops + shift})
	}
	for _, corner := range e.Best.Corners {
		p.Corners = append(p.Corners, [2]int{int(math.Round(corner.X)), int(math.Round(corner.Y))})
	}
}

// tones returns the mean of how light the frames are; their middle is the log-average of the scene where
// none was searched.
func (s *Search) tones(scene curve.Stops) detect.Tones {
	var sum detect.Tones
	var n curve.Stops
	for _, f := range s.found {
		if curve.Finite(f.Tones.Middle) {
			sum.Middle += f.Tones.Middle
			sum.Spread += f.Tones.Spread
			n++
		}
	}
	if n == 0 {
		return detect.Tones{Middle: scene}
	}
	return detect.Tones{Middle: sum.Middle / n, Spread: sum.Spread / n}
}

// likely is how plausible a card is that reads so many stops over the middle of the scene, whose tones
// spread so far.
func likely(over, spread curve.Stops) curve.Ratio {
	if over >= 0 {
		return 1 - ramp(over, limit.UpperSure, limit.UpperNever)
	}
	many := ramp(spread, limit.OneSurface, limit.ManySurfaces)
	dark := ramp(-over, limit.DarkSure, limit.DarkWeak)
	return (1 - ramp(-over, limit.LowerSure, limit.LowerNever)) * (1 - many*dark*(1-limit.DarkWorth))
}

// ramp rises from 0 to 1 between two values.
func ramp[T ~float64](x, from, to T) curve.Ratio {
	return curve.Ratio(min(max((x-from)/(to-from), 0), 1))
}

// large is how much the size of what frames agree on speaks for a card that is shown to be measured.
// That it stays in its place says nothing: everything does before a tripod.
func (s *Search) large(e *detect.Evidence) curve.Ratio {
	share := curve.Share(math.Abs(geometry.Quad(e.Best.Corners).Area()) / s.pixels)
	return limit.SmallWorth + (1-limit.SmallWorth)*ramp(share, limit.SmallNever, limit.SmallSure)
}

// chartDoubt is what speaks against going by a chart.
func chartDoubt(c *detect.Chart) Doubt {
	switch {
	case c.Doubt != nil && c.Doubt.Kind != detect.StrayLight:
		return Curve
	case c.Line.Used < detect.LeastNeutrals:
		return FewNeutrals
	}
	return ""
}

// placeOf returns an area, nil where it is empty.
func placeOf(area image.Rectangle) *geometry.Rect {
	if area.Empty() {
		return nil
	}
	r := geometry.RectOf(area)
	return &r
}
