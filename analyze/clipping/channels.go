package clipping

import (
	"stopledger/analyze/cells"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

const (
	// atTheEnd is how far under a curve's end that lies lower light is at it.
	atTheEnd curve.Stops = 0.05
)

// A Coding says what a clip's codec may have done to noise.
type Coding struct {
	Lossy   bool // it may have taken noise
	Even    bool // it took of noise alike wherever there is any
	LongGOP bool // it may repeat what it showed before
}

// channels are a clip's channels as their ceilings are looked for.
type channels struct {
	sums
	reading curve.Reading
	coding  Coding
	mask    cells.Mask // what holds no light
}

// spectrum returns a channel's histogram to be searched for peaks that reach so many codes.
func (c *channels) spectrum(channel, reach int) spectrum {
	return spectrum{c.histograms[channel], c.reading, reach, c.rounding[channel]}
}

// mayClip tells whether a camera may clip at a code, for what is only doubted: where curves end lower, at their
// end. A shoulder records its ceiling lower, which a field then proves.
func (c *channels) mayClip(code curve.Code) bool {
	r := c.reading
	return r.Stops(r.FileCode(code)) >= min(limit.LeastCeiling, r.Stops(r.Top())-atTheEnd)
}
