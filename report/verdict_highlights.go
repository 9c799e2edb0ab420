package report

func highlightSentence(c Clip) string {
	h := c.Highlights
	if h.Clipped.Any <= 0 && len(h.Areas) == 0 {
		if headroom, ok := known(h.Headroom); ok {
			return "Nothing clips; " + atMost(h) + PlainStops(headroom, 1) + " of headroom."
		}
		return "Nothing clips."
	}
	field, points := sharesByKind(h.Areas)
	some := ""
	if h.Clipped.All <= 0 && h.Clipped.Any > 0 {
		some = " in some channels"
	}
	switch {
	case field > 0 && points > 0:
		return "Sky, window or the like clips" + some + ", " + Share(field) + " of the frame" + greyClause(c) +
			"; points such as lamps clip too, " + Share(points) + "."
	case field > 0:
		return "Sky, window or the like clips" + some + ", " + Share(field) + " of the frame" + greyClause(c) + "."
	case points > 0:
		return "Only points such as lamps or glints clip" + some + ", " + Share(points) + " of the frame" + besides(h.Headroom) + "."
	}
	return "Clips" + some + " in " + Share(h.Clipped.Any) + " of the frame."
}

// besides tells the headroom of what does not clip.
func besides(headroom *float64) string {
	if stops, ok := known(headroom); ok {
		return "; " + PlainStops(stops, 1) + " of headroom for the rest"
	}
	return ""
}

// sharesByKind sums the shares of the clipped areas of each kind.
func sharesByKind(areas []Area) (field, points float64) {
	for _, a := range areas {
		if a.Kind == "field" {
			field += a.Share
		} else {
			points += a.Share
		}
	}
	return field, points
}

// greyClause tells that a clipped field will not be white any more after a pull.
func greyClause(c Clip) string {
	action, _, _ := correction(c)
	level, ok := known(c.Advice.After.CeilingDisplay)
	if !ok || action != "pull" {
		return ""
	}
	return ", and shows as a flat " + decimal(level, 0, false, " %") + " after the pull"
}

// atMost stands before a headroom that was reckoned to the curve's end, because nothing in the
// clip shows where the camera ends.
func atMost(h Highlights) string {
	if h.Ceiling.Origin == "curve" {
		return "at most "
	}
	return ""
}
