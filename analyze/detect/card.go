package detect

import (
	"cmp"
	"math"
	"slices"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Card is a near-uniform neutral quadrilateral, taken for a grey card.
type Card struct {
	Detection
	Reflectance  curve.Ratio    // assumed, 0..1
	Light        Light          // of its middle
	WhiteBalance [3]curve.Stops // how far its R, G and B lie over their mean
	Sides        int            // of the four, seen as edges over most of their length
	Texture      curve.Stops    // unevenness left after a plane of light
	Across       curve.Stops    // light from one side to the other
}

// readCards measures the best view of each would-be card outside the charts.
func (s *scan) readCards(proposals []proposal, charts []Chart) (found []Card) {
	var taken []geometry.Quad
	for _, c := range charts {
		taken = append(taken, c.Corners)
	}
	var cards []Card
	for i := range proposals {
		p := &proposals[i]
		if q := p.quad.Times(p.level.Scale); overlapsAny(q, taken) || s.p.Card.seen(q, cards) {
			continue
		}
		v, ok := s.view(p)
		if !ok || overlapsAny(v.quad, taken) {
			continue
		}
		if c := s.readCard(&v); !s.opt.doubtful(c.Confidence) && !s.inGreyscale(c.Corners) {
			cards = append(cards, c)
		}
	}
	slices.SortStableFunc(cards, func(a, b Card) int { return cmp.Compare(b.Confidence, a.Confidence) })
	for _, c := range cards {
		if !overlapsAny(c.Corners, taken) {
			taken = append(taken, c.Corners)
			found = append(found, c)
		}
	}
	if s.p.Card.tooMany(found) {
		return nil
	}
	return found
}

// tooMany reports whether there are too many cards of about one size, none surer than the others,
// to be cards. The cards are sorted, the surest first.
func (p *CardParams) tooMany(found []Card) bool {
	if len(found) == 0 {
		return false
	}
	least := p.AlikeSurer * float64(found[0].Confidence)
	for _, c := range found {
		n := 0
		for _, o := range found {
			k := c.Corners.Area() / o.Corners.Area()
			if k < p.AlikeRatio && k > 1/p.AlikeRatio && float64(o.Confidence) > least {
				n++
			}
		}
		if n > p.MostAlike {
			return true
		}
	}
	return false
}

// seen reports whether a sure card lies where a quad does.
func (p *CardParams) seen(q geometry.Quad, cards []Card) bool {
	return slices.ContainsFunc(cards, func(c Card) bool {
		return float64(c.Confidence) > p.SeenSure && p.alike(c.Corners, q)
	})
}

func (s *scan) readCard(v *cardView) Card {
	p := s.p
	middle := v.quad.Shrink(p.Card.Middle)
	c := Card{Reflectance: s.opt.Reflectance, Light: s.meter.over(middle), Sides: v.strong,
		Texture: curve.Stops(v.texture), Across: curve.Stops(v.slope)}
	c.Corners = v.quad.FromTopLeft()
	c.Region = middle.InnerRectangle()
	c.RegionStops = curve.Light(s.opt.Reflectance).Stops()
	c.Stops = c.Light.Stops() - c.RegionStops
	c.WhiteBalance = c.Light.balance(p.Flat.DeepestTone)
	c.Reading = curve.Stops(c.Light.stopsError())
	c.Error = curve.Stops(math.Hypot(float64(c.Reading), p.Card.Spread))
	luma := float64(s.meter.reading.CodeOf(c.Light.Luma)) * pyramid.SignalScale(s.meter.reading.Bits)
	brighter := s.brighterShare(luma, p.Card.Brighter)
	tone := c.Light.tone(p.Flat.DeepestTone)
	c.Confidence = p.Worth.confidence(p.Worth.shape(v), p.Worth.light(c.Light, tone, s.cast), v.texture, tone)
	c.Confidence *= curve.Ratio(p.Worth.noPaper(float64(c.Light.Stops()), brighter, float64(s.frame.Middle)))
	return c
}
