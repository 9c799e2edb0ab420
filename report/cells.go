package report

// The cells of a clip's line of figures; a number that was not measured is Absent.

func cellGrey(c Clip) string {
	if c.Placement == nil {
		return Absent
	}
	return SignedStops(c.Placement.Stops, placementDigits(c.Placement))
}

func cellMethod(c Clip) string {
	switch {
	case c.Placement == nil:
		return Absent
	case c.Placement.Carried != "":
		return "carried"
	}
	return c.Placement.Method
}

func cellFloor(c Clip) string {
	if floor, ok := known(c.Noise.FloorStops); ok && !c.Noise.Suppressed {
		return SignedStops(floor, 1)
	}
	return Absent
}

// cellShadows is the noise at scene -4 stops after the correction.
func cellShadows(c Clip) string {
	if snr, ok := known(c.Advice.After.SNR); ok && !c.Noise.Suppressed {
		return Decibels(snr)
	}
	return Absent
}

func cellHeadroom(c Clip) string {
	if headroom, ok := known(c.Highlights.Headroom); ok {
		return PlainStops(headroom, 1)
	}
	return Absent
}

func cellClipped(c Clip) string { return Share(c.Highlights.Clipped.Any) }

func cellAdvice(c Clip) string {
	action, stops, digits := correction(c)
	switch {
	case action != "hold":
		return action + " " + PlainStops(stops, digits)
	case c.Placement == nil || c.Placement.Weak:
		return Absent
	}
	return action
}
