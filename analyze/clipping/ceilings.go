package clipping

import (
	"math"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

// Ceilings are the levels at which a recording's channels clip, in codes of the file, and what lies
// right below them.
type Ceilings struct {
	Code      curve.FileCode    // of the first channel to clip; where the curve or the file ends if none is seen to
	Measured  bool              // seen as a histogram peak, not taken from the curve
	Channel   [3]curve.FileCode // at which R, G and B clip; NaN where no peak is seen
	From      [3]curve.FileCode // from which R, G and B count as clipped; +Inf where no peak is seen
	Brightest curve.Stops       // recorded, of the brightest content below; unknown without a frame
	Held      curve.Stops       // the same of the channel that has least; unknown without a frame
	Undecided bool              // light may clip, and it is not known whether
	Shoulder  bool              // the recording rolls off below: Code is no more than where it is seen to end
	Soft      curve.Share       // of the samples in the roll-off below; unknown without a frame
	Unseen    curve.Share       // of the frame in which lamps may clip without being seen
}

// newCeilings returns those of a recording of which no channel is seen to clip.
func newCeilings(r curve.Reading) Ceilings {
	none, never := curve.Unknown[curve.FileCode](), curve.FileCode(math.Inf(1))
	return Ceilings{Code: r.Top(),
		Channel: [3]curve.FileCode{none, none, none}, From: [3]curve.FileCode{never, never, never},
		Brightest: curve.Unknown[curve.Stops](), Held: curve.Unknown[curve.Stops](), Soft: curve.Unknown[curve.Share]()}
}

// set takes a histogram peak for a channel's ceiling.
func (c *Ceilings) set(channel int, p peak, r curve.Reading) {
	c.Channel[channel], c.From[channel] = r.FileCode(p.code), r.FileCode(p.from)
	if !c.Measured || c.Channel[channel] < c.Code {
		c.Code = c.Channel[channel]
	}
	c.Measured = true
}

// endAsPublished takes the level at which recordings end as published for the ceiling, where none is
// seen and the content stays below it.
func (c *Ceilings) endAsPublished(r curve.Reading) {
	if end := r.Limit(); !c.Measured && !c.Shoulder && c.Brightest <= r.Stops(end) {
		c.Code = end
	}
}

// known tells whether a channel's ceiling was seen.
func (c *Ceilings) known(channel int) bool { return curve.Finite(c.Channel[channel]) }

// An Edge says how light ends below the ceiling.
type Edge string

// Edges.
const (
	Hard Edge = "hard" // light piles up at the ceiling
	Soft Edge = "soft" // the recording rolls off, or light crowds below the curve's end without piling up
	None Edge = "none"
)

// edge tells a soft roll-off from a hard clip.
func (c *Ceilings) edge() Edge {
	switch {
	case c.Shoulder:
		return Soft
	case c.Measured:
		return Hard
	case c.Soft >= limit.SoftLeast:
		return Soft
	}
	return None
}

// An Origin says where a ceiling comes from.
type Origin string

// Origins of a ceiling.
const (
	Measured Origin = "measured" // light piles up there
	Shoulder Origin = "shoulder" // the recording rolls off up to there: how far light goes on is not known
	CurveEnd Origin = "curve"    // nothing clips: the curve or the file ends there
	Profile  Origin = "profile"  // nothing clips: the camera's profile tells it
)

// origin tells where the ceilings are from.
func (c *Ceilings) origin() Origin {
	switch {
	case c.Shoulder:
		return Shoulder
	case c.Measured:
		return Measured
	}
	return CurveEnd
}
