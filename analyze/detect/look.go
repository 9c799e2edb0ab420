package detect

import (
	"slices"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode"
)

// Findings are what one frame shows, each list the surest first.
type Findings struct {
	Index  int           // of the frame in the clip
	Time   curve.Seconds // of the frame
	Charts []Chart       // 24-patch charts
	Cards  []Card        // grey cards
	Faces  []Face        // upright faces
	Tones  Tones         // how light the frame is
}

// Look searches one frame, read by r and m.
func Look(f *decode.Frame, r curve.Reading, m curve.Matrix, opt Options) Findings {
	opt = opt.withDefaults(f.Planes[0].Width)
	unknown := curve.Unknown[curve.Stops]()
	found := Findings{Index: f.Index, Time: curve.Seconds(f.Time), Tones: Tones{unknown, unknown}}
	s, ok := newScan(f, r, m, opt)
	if !ok {
		return found
	}
	found.Tones = s.frame
	s.getOn()
	charts, cards := s.search(f.Layout != decode.Gray)
	found.Charts = s.readCharts(charts)
	s.getOn()
	found.Cards = s.readCards(cards, found.Charts)
	s.getOn()
	if !opt.SkipFaces {
		found.Faces = s.readFaces()
	}
	return found
}

// LookForFaces searches one frame, read by r and m, for faces alone.
func LookForFaces(f *decode.Frame, r curve.Reading, m curve.Matrix, opt Options) []Face {
	s, ok := newScan(f, r, m, opt.withDefaults(f.Planes[0].Width))
	if !ok {
		return nil
	}
	s.getOn()
	return s.readFaces()
}

// search looks for charts and cards level by level, the finest first; charts only where there is
// colour.
func (s *scan) search(colour bool) (charts []chartView, cards []proposal) {
	for i := range s.levels {
		f := s.flatOf(i)
		s.tiles = append(s.tiles, f.tiles)
		for _, m := range []*pyramid.Components{f.tiles, s.connect(f.mask, pyramid.Loose, 0)} {
			if colour {
				charts = append(charts, s.charts(m, i == len(s.levels)-1)...)
			}
			cards = append(cards, s.proposals(m, &f)...)
			s.getOn()
		}
		if i > 0 {
			cards = append(cards, s.proposals(s.connect(f.mask, pyramid.Close, 1), &f)...)
		}
	}
	if colour && len(s.levels) > 1 && !s.sureOfChart(charts) {
		points := pyramid.StillPoints(s.levels[0], s.levels[1], s.tones, &s.p.Flat)
		for _, c := range s.charts(points, false) {
			c.still = true
			charts = append(charts, c)
		}
	}
	return charts, cards
}

// getOn tells that a part of the search is done.
func (s *scan) getOn() {
	if s.opt.Told != nil {
		s.opt.Told()
	}
}

// sureOfChart reports whether a chart was seen by its flat patches, well enough not to look for
// smaller ones.
func (s *scan) sureOfChart(charts []chartView) bool {
	p := &s.p.Search
	return slices.ContainsFunc(charts, func(c chartView) bool {
		return c.confidence(&s.p.Chart) >= p.SureOfChart && c.nodes >= p.SureNodes
	})
}
