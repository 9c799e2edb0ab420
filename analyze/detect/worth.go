package detect

import (
	"math"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A cardView is a would-be card on a closer look: what the confidence is made of.
type cardView struct {
	quad    geometry.Quad // frame pixels
	share   float64       // of the frame's area
	filled  float64       // share of the quad that is one component
	outline float64       // share of the enclosing quad that the component's convex hull has
	sides   float64       // mean share of the sides that is seen as an edge
	strong  int           // sides seen well
	sharp   float64       // median share of the change across a side that is a step
	corners int           // of the four, filled into the corner as a round thing is not
	carried int           // ends of sides at which the edge goes on beyond the corner, 0..8
	rough   float64       // unevenness left after a plane of light, in units of the noise
	texture float64       // the same in stops
	slope   float64       // light from one side to the other, stops
	crowd   crowd         // like things around it: tiles, keys, patches of a chart
	around  float64       // area around it of its very tone, over its own: a wall seen between things
}

// outline is the part of a card's worth that a component speaks for which has a share of its quad, and
// its convex hull another.
func (w *WorthParams) outline(filled, outline float64) float64 {
	return w.Filled.of(filled) * (1 - w.OutlineCost + w.OutlineCost*w.Outline.of(outline))
}

// sparse is the part of it that few like things around speak for.
func (w *WorthParams) sparse(c crowd) float64 {
	return w.Near.of(float64(c.near)) * w.Twins.of(float64(c.twins)) *
		w.Company.of(float64(c.company)) * w.Walled.of(float64(c.walled))
}

// sides is the part of it that its sides and its area speak for.
func (w *WorthParams) sides(v *cardView) float64 {
	return w.Sides.of(v.sides) * w.Strong.of(float64(v.strong)) * w.Sharp.of(v.sharp) *
		w.outline(v.filled, v.outline) * w.Share.of(v.share)
}

// shape multiplies what speaks for a card in how it lies in the picture, each 0..1.
func (w *WorthParams) shape(v *cardView) float64 {
	c := w.sides(v) * w.sparse(v.crowd)
	c *= w.Corners.of(float64(v.corners)) * w.Carried.of(float64(v.carried))
	c *= math.Max(w.Rough.of(v.rough), w.RoughStops.of(v.texture)) * w.Texture.of(v.texture)
	wide := w.SlopeWide * math.Sqrt(v.share)
	slope := Ramp{w.Slope.None + wide, w.Slope.Full + wide}
	c *= slope.of(v.slope) * math.Max(w.Around.of(v.around), w.AroundEnds.of(float64(v.carried)))
	if v.texture < w.Lifeless && v.slope < w.Lifeless {
		c *= 1 - w.LifelessCost
	}
	return math.Min(w.Shape*c, 1)
}

// least is the least shape with which a confidence can be reached.
func (w *WorthParams) least(confidence curve.Ratio) float64 {
	return math.Pow(float64(confidence), w.EvenRoot)
}

// confidence is what shape and light come to: less for what is tinted, more for what is as even and as
// neutral as a card is made.
func (w *WorthParams) confidence(shape, light, texture float64, t pyramid.Tone) curve.Ratio {
	tint := t.Apart()
	both := shape * light * (1 - w.TintedCost + w.TintedCost*w.Tinted.of(tint))
	made := w.Even.of(texture) * w.Tint.of(tint)
	return curve.Ratio(math.Pow(both, 1/(1+made*(w.EvenRoot-1))))
}

// light multiplies what speaks for a card in its light: neutral, neither in the noise nor clipped.
func (w *WorthParams) light(l Light, t pyramid.Tone, cast colourCast) float64 {
	c := w.neutral(t, cast)
	stops := float64(l.Stops())
	return c * w.Dark.of(stops) * w.Bright.of(stops) * w.Clipped.of(float64(l.Clipped))
}

// noPaper is less for what is the brightest thing there is, as white paper is: its recorded stops, the
// share of the frame that is brighter, and the frame's middle in recorded stops.
func (w *WorthParams) noPaper(stops, brighter, middle float64) float64 {
	no := math.Max(w.Brighter.of(brighter), w.PaperStops.of(stops)*w.PaperOver.of(stops-middle))
	return 1 - w.BrighterCost + w.BrighterCost*no
}

// neutral is 1 within the tolerance of the camera's white balance; a card as the light of the
// whole frame has it counts for less.
func (w *WorthParams) neutral(t pyramid.Tone, cast colourCast) float64 {
	own, under := t.Apart(), pyramid.Tone{R: t.R - cast.rg, G: t.G, B: t.B - cast.bg}.Apart()
	return math.Max(w.Neutral.of(own), w.CastWorth*w.Cast.of(under)*w.CastOwn.of(own))
}
