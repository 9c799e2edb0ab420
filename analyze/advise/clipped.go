package advise

import (
	"fmt"
	"math"
	"path/filepath"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// Lost sums what clipped areas take of the frame: fields such as sky and windows, and points such
// as lamps and glints.
func Lost(areas []clipping.Area) (fields, points curve.Share) {
	for _, a := range areas {
		if a.Kind == clipping.Field {
			fields += a.Share
		} else {
			points += a.Share
		}
	}
	return fields, points
}

// clippedFindings point out what clipped, and what it will look like after the correction.
func clippedFindings(f Facts, a Advice) (out []Finding) {
	fields, points := Lost(f.Clipping.Areas)
	if f.Clipping.Undecided {
		out = append(out, Finding{ClipDoubt, Caution, "Part of the frame may be clipped, or be flat and bright by itself: " +
			"check it by eye before the next take is given more light."})
	}
	if fields > 0 {
		out = append(out, fieldFindings(fields, a.After)...)
	}
	if points > 0 {
		out = append(out, Finding{PointsClipped, Note,
			fmt.Sprintf("Specular highlights clip (%s of the frame): usually no loss.", shareWords(points, 2))})
	}
	some := f.Clipping.Clipped.Any - f.Clipping.Clipped.All
	if some >= limit.ChannelGap || fields > 0 && someChannels(f.Clipping.Areas)/fields >= limit.HueShare {
		out = append(out, Finding{ChannelClipped, Caution,
			fmt.Sprintf("In %s of the frame only one or two channels clip: hue shifts there.", shareWords(some, 1))})
	}
	return out
}

// fieldFindings tell that fields clip, and whether they still pass for white after the correction.
func fieldFindings(fields curve.Share, after After) []Finding {
	level := Caution
	if fields >= limit.FieldAlarm {
		level = Alarm
	}
	out := []Finding{{FieldClipped, level, fmt.Sprintf(
		"A large area (sky, window) is clipped: %s of the frame, and nothing brings it back.", shareWords(fields, 1))}}
	if after.Ceiling < limit.GreyCeiling {
		on := "on the display"
		if after.Display != nil {
			on = "of the white of " + filepath.Base(after.Display.File)
		}
		out = append(out, Finding{GreyCeiling, Caution, fmt.Sprintf("After the correction the clipped area sits "+
			"at %.0f %% %s and reads as flat grey: bring its white up in the grade.", after.Ceiling, on)})
	}
	return out
}

// someChannels is how much of the frame lies in fields of which one or two channels still hold.
func someChannels(areas []clipping.Area) (some curve.Share) {
	for _, a := range areas {
		if a.Kind == clipping.Field {
			some += a.Share * a.Some
		}
	}
	return some
}

// shareWords writes a share of the frame, and "under" the last digit where nothing would be left.
func shareWords(share curve.Share, digits int) string {
	least, percent := math.Pow10(-digits), 100*float64(share)
	if percent < least/2 {
		return fmt.Sprintf("under %.*f %%", digits, least)
	}
	return fmt.Sprintf("%.*f %%", digits, percent)
}

// clippedSentence says what clips, or how much headroom is left.
func clippedSentence(c *clipping.Result, change Change, ceiling curve.Percent) string {
	if c.Clipped.Any <= 0 && len(c.Areas) == 0 {
		if c.Undecided {
			return "The highlights may be clipped: the recording does not tell."
		}
		if curve.Finite(c.Headroom) {
			return "Nothing clips; " + atMost(c.Ceiling) + c.Headroom.Plain(1) + " of headroom."
		}
		return "Nothing clips."
	}
	where := ""
	if c.Clipped.All <= 0 && c.Clipped.Any > 0 {
		where = " in some channels"
	}
	fields, points := Lost(c.Areas)
	switch {
	case fields > 0:
		s := "A large area (sky, window) is clipped" + where + ": " + fields.String() + " of the frame" +
			greyClause(change, ceiling)
		if points > 0 {
			s += "; specular highlights clip too, " + points.String()
		}
		return s + "."
	case points > 0:
		return "Only specular highlights clip" + where + ", " + points.String() + " of the frame" +
			besides(c) + "."
	}
	return "Clipped" + where + ": " + c.Clipped.Any.String() + " of the frame."
}

// moreSentence says that more than what is told to clip may.
func moreSentence(c *clipping.Result) string {
	if !c.Undecided || c.Clipped.Any <= 0 && len(c.Areas) == 0 {
		return ""
	}
	return "More of the highlights may be clipped: the recording does not tell."
}

// atMost stands before a headroom that was reckoned to the curve's end, because nothing in the
// clip shows where the camera ends.
func atMost(c clipping.Ceiling) string {
	if c.Origin == clipping.CurveEnd {
		return "at most "
	}
	return ""
}

// greyClause tells that a clipped field will not be white any more after a pull.
func greyClause(change Change, ceiling curve.Percent) string {
	if change.Action != Pull || !curve.Finite(ceiling) {
		return ""
	}
	if shown := curve.Round(ceiling, 0); shown < 100 {
		return fmt.Sprintf(", and shows as a flat %.0f %% after the pull", shown)
	}
	return ", pure white after the pull"
}

// besides tells the headroom of what does not clip.
func besides(c *clipping.Result) string {
	if !curve.Finite(c.Headroom) || c.Undecided {
		return ""
	}
	return "; " + c.Headroom.Plain(1) + " of headroom for the rest"
}
