package advise

import (
	"fmt"
	"math"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// nextTake says what to change: come down far enough that fields hold, or open up as far as shadows
// want and highlights allow.
func nextTake(f Facts, a Advice) NextTake {
	n := NextTake{Stops: curve.Unknown[curve.Stops](), Zebra: curve.Unknown[curve.Percent](), For: []ForSNR{}}
	p := f.usable()
	if p == nil {
		n.Text = "Put a grey card in the light of the subject for a few seconds; then the next take can be advised."
		return n
	}
	n.For = append(n.For, wanted(f, p.Stops)...)
	if a.Action == None {
		n.Text = "Settle first what is in doubt; then the next take can be advised."
		return n
	}
	n.Stops, n.Text = nextStops(f, p.Stops, n.For)
	if curve.Finite(n.Stops) {
		n.Zebra = f.Reading.PercentOf((p.Stops + n.Stops).Light())
		if n.Stops != 0 {
			n.Text += fmt.Sprintf(" Set the zebra to %.0f %% on a grey card.", n.Zebra)
		}
	}
	return n
}

// wanted returns the placements that put shadows at the SNRs one may want; none without a model,
// which alone tells of tones beyond those measured, nor where it is in doubt.
func wanted(f Facts, grey curve.Stops) (out []ForSNR) {
	if f.Noise.Model == nil || f.Noise.Doubt != "" {
		return nil
	}
	for _, snr := range limit.WantedSNR {
		if p := f.Noise.Reaching(snr) - limit.Shadow; curve.Finite(p) {
			out = append(out, ForSNR{snr, p, f.Reading.PercentOf(p.Light()), clipsBy(f, p-grey)})
		}
	}
	return out
}

// clipsBy tells whether the highlights of a take would clip with so many stops more light than in
// this one, nil where nothing tells.
func clipsBy(f Facts, more curve.Stops) *bool {
	fields, _ := Lost(f.Clipping.Areas)
	room := roomLeft(f)
	switch {
	case fields > 0 && more >= 0:
		return new(true)
	case fields > 0 || f.Clipping.Undecided || !curve.Finite(room):
		return nil
	}
	return new(more > max(room, 0))
}

// nextStops returns the exposure change for the next take, with its reason.
func nextStops(f Facts, grey curve.Stops, wanted []ForSNR) (curve.Stops, string) {
	fields, _ := Lost(f.Clipping.Areas)
	room := roomLeft(f)
	switch {
	case fields > 0 && grey > f.meant()+limit.HoldWithin:
		down := grey - f.meant()
		return -down, fmt.Sprintf("Close down %.1f stops: a large area clips, and grey sits above %s.", down, f.meantWords())
	case fields > 0:
		return 0, "A large area clips with grey at " + f.meantWords() +
			": shade or filter it, add light to the subject, or accept it."
	case f.Clipping.Undecided:
		return curve.Unknown[curve.Stops](), "The highlights may be clipped: give the next take no more light before " +
			"they are checked by eye."
	case !curve.Finite(room):
		return room, "How far the highlights reach is not known: no light was recorded to tell by."
	case f.Intended != nil && math.Abs(float64(*f.Intended-grey)) > float64(limit.HoldWithin):
		return toIntended(*f.Intended-grey, room, f.meantWords())
	case len(wanted) > 1 && wanted[1].Placement > grey+limit.HoldWithin && room > limit.HoldWithin:
		up := min(wanted[1].Placement-grey, room)
		return up, fmt.Sprintf("Open up %.1f stops: shadows gain, and the brightest content stays at least %.1f stops "+
			"under the ceiling.", up, room+limit.Margin-up)
	case room > limit.HoldWithin:
		return 0, fmt.Sprintf("Keep this exposure; up to %.1f stops more would still hold the highlights, %.1f stops "+
			"under the ceiling.", room, limit.Margin)
	case !ceilingKnown(f):
		return 0, "Keep this exposure: this take does not show where the camera clips."
	}
	return 0, "Keep this exposure."
}

// toIntended brings grey to where it was meant to lie, as far as the highlights allow.
func toIntended(change, room curve.Stops, meant string) (curve.Stops, string) {
	switch {
	case change < 0:
		return change, fmt.Sprintf("Close down %.1f stops to %s.", -change, meant)
	case room <= limit.HoldWithin:
		return 0, fmt.Sprintf("Keep this exposure: it lies %.1f stops under %s, and the highlights leave no room.",
			change, meant)
	case room < change:
		return room, fmt.Sprintf("Open up %.1f stops: to %s there are %.1f, and the highlights leave no more room.",
			room, meant, change)
	}
	return change, fmt.Sprintf("Open up %.1f stops to %s.", change, meant)
}

// roomLeft returns how far exposure may go up before the brightest content comes nearer to the
// ceiling than the reserve; unknown where headroom is. Where neither the clip nor anything published
// tells where the camera ends, it may do so below the end of the codes.
func roomLeft(f Facts) curve.Stops {
	room := f.Clipping.Headroom - limit.Margin
	if !ceilingKnown(f) {
		room -= limit.UnseenCeiling
	}
	return room
}

// ceilingKnown tells whether the ceiling is where the camera ends and not only where codes do.
func ceilingKnown(f Facts) bool {
	if f.Clipping.Ceiling.Origin != clipping.CurveEnd {
		return true
	}
	const rounding = 0.5 // codes
	published := f.Reading.Curve.Limit.Percent > 0
	return published && f.Clipping.Ceiling.Code <= f.Reading.Code(f.Reading.Limit())+rounding
}
