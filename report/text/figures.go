package text

import (
	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/curve"
	"stopledger/report"
)

// The figures of a clip as people read them, in text and on pages: one function each. A figure
// that was not measured is curve.Absent.

// Grey is where grey landed: "+1.65 stops".
func Grey(c *report.Clip) string {
	if c.Placement == nil {
		return curve.Absent
	}
	return c.Placement.Stops.Signed(c.Decimals())
}

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
	return c.Noise.Floor.Signed(1)
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

// Clipped is the share of the frame clipped in any channel.
func Clipped(c *report.Clip) string { return c.Highlights.Clipped.Any.String() }

// Action is what to do: "pull 1.65 stops", "hold".
func Action(c *report.Clip) string {
	action, stops, decimals := c.Correction()
	switch {
	case action != advise.Hold:
		return string(action) + " " + stops.Plain(decimals)
	case c.Placement == nil || c.Placement.Weak:
		return curve.Absent
	}
	return string(action)
}

// After names the state after the advised correction: "after a pull of 1.65 stops".
func After(c *report.Clip) string {
	switch action, stops, decimals := c.Correction(); action {
	case advise.Pull:
		return "after a pull of " + stops.Plain(decimals)
	case advise.Lift:
		return "after a lift of " + stops.Plain(decimals)
	}
	return "as recorded"
}

// SharesByKind sums the shares of the clipped areas of each kind.
func SharesByKind(areas []clipping.Area) (field, points curve.Share) {
	for _, a := range areas {
		if a.Kind == clipping.Field {
			field += a.Share
		} else {
			points += a.Share
		}
	}
	return field, points
}
