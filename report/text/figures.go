package text

import (
	"stopledger/analyze/noise"
	"stopledger/curve"
	"stopledger/report"
)

// The figures of a clip as people read them, in text and on pages; where grey is and what to do are
// advise's. A figure that was not measured is curve.Absent.

// Method is what grey was read from, in a word.
func Method(c *report.Clip) string {
	switch {
	case c.Placement == nil:
		return curve.Absent
	case c.Placement.Carried != "":
		return "carried"
	}
	return string(c.Placement.Method)
}

// Floor is where signal and noise are equal, in recorded stops.
func Floor(c *report.Clip) string {
	if c.Noise.Suppressed {
		return curve.Absent
	}
	floor := c.Noise.Floor.Signed(1)
	if c.Noise.FloorBound == noise.AtOrBelow && floor != curve.Absent {
		return "≤" + floor // at it or below
	}
	return floor
}

// Shadows is the signal-to-noise ratio at scene -4 stops after the correction.
func Shadows(c *report.Clip) string {
	if c.Noise.Suppressed {
		return curve.Absent
	}
	return c.Advice.After.SNR.String()
}

// Headroom is what is left under the ceiling.
func Headroom(c *report.Clip) string { return c.Highlights.Headroom.Plain(1) }

// Clipped is the share of the frame clipped in any channel, a question mark where nothing is seen to
// clip and something may.
func Clipped(c *report.Clip) string {
	if h := c.Highlights; h.Undecided && !(h.Clipped.Any > 0) {
		return "?"
	}
	return c.Highlights.Clipped.Any.String()
}
