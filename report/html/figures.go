package html

import (
	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// keyFigures are the five numbers a clip is judged by, and where they land through a display file.
func keyFigures(c *report.Clip) facts {
	do := fact{"Action", doWords(c), "before the display transform"}
	switch changeOf(c).Action {
	case advise.Hold:
		do.Note = "grey is near enough to the target"
	case advise.None:
		do.Note = "first settle what is in doubt"
		if c.Placement == nil || c.Placement.Weak {
			do.Note = "no sure grey was found"
		}
	}
	list := facts{
		{"Grey", greyWords(c), greyNote(c.Placement)}, do,
		{"Shadows", text.Shadows(c), shadowNote(c)},
		{"Clipped", text.Clipped(c), areaWords(&c.Highlights)},
		{"Floor", text.Floor(c), floorNote(&c.Noise)},
	}
	if shown := displayFigure(c); shown.Value != "" {
		list = append(list, shown)
	}
	for i, f := range list {
		list[i].Value, list[i].Note = text.Typeset(f.Value), text.Typeset(f.Note)
		if f.Value == curve.Absent {
			list[i].Value = "not measured"
		}
	}
	return list
}

// greySource says what told where grey is.
func greySource(p *placement.Placement) string { return metadata.Printable(advise.Source(p)) }

func greyNote(p *placement.Placement) string {
	if p == nil {
		return "no grey was found"
	}
	note := greySource(p)
	if p.Method != placement.Scene { // an average is not grey, and has no such interval
		note = joined(", 95 % ", note, intervalWords(p.Low, p.High))
	}
	if p.Weak {
		note += ", weak"
	}
	return note
}

func shadowNote(c *report.Clip) string {
	if c.Noise.Suppressed {
		return advise.HiddenNoise(&c.Noise.Result)
	}
	note := "4 stops under grey"
	if c.Advice.Correction() != 0 {
		note += ", " + changeOf(c).After()
	}
	if nominal := c.Advice.After.Nominal; curve.Finite(nominal) {
		note += "; " + nominal.String() + " at nominal"
	}
	return note
}

func floorNote(n *report.Noise) string {
	if n.Unmeasured != "" {
		return "the noise cannot be measured"
	}
	if curve.Finite(n.Usable) && !n.Suppressed {
		return n.Usable.Plain(1) + " from there to the ceiling"
	}
	return "where signal and noise are equal"
}

// areaWords tell fields from points, or what is left where nothing clips.
func areaWords(h *clipping.Result) string {
	field, points := advise.Lost(h.Areas)
	switch {
	case field > 0 && points > 0:
		return "large area and highlights"
	case field > 0:
		return "large area"
	case points > 0:
		return "highlights"
	case h.Undecided:
		return "may be clipped"
	case !curve.Finite(h.Headroom):
		return ""
	case h.Ceiling.Origin != clipping.Measured:
		// The recording may clip under the end of the curve.
		return text.Typeset("at most " + h.Headroom.Plain(1) + " left")
	}
	return text.Typeset(h.Headroom.Plain(1) + " left")
}

// clippedSky tells whether a clip has a clipped field, such as the sky, so that the page may
// lead somebody to point a camera at it again.
func clippedSky(c *report.Clip) bool {
	for _, a := range c.Highlights.Areas {
		if a.Kind == clipping.Field {
			return true
		}
	}
	return false
}

// displayFigure says where grey and the ceiling land on the display.
func displayFigure(c *report.Clip) fact {
	d := c.Advice.After.Display
	if d == nil {
		return fact{}
	}
	where := "ceiling " + whole(d.Ceiling)
	if curve.Finite(d.Grey) {
		where = "grey " + whole(d.Grey) + ", " + where
	}
	return fact{"Display", where, "of its white, " + changeOf(c).After() + ", " + through(c)}
}
