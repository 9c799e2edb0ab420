package clipping

import (
	"stopledger/analyze/cells"
	"stopledger/curve"
)

// A Coding says what a clip's codec may have done to noise.
type Coding struct {
	Lossy   bool // it may have taken noise
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
