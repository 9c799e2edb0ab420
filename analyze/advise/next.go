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
func nextTake(f Facts) NextTake {
	n := NextTake{Stops: curve.Unknown[curve.Stops](), Zebra: curve.Unknown[curve.Percent](), For: []ForSNR{}}
	p := f.usable()
	if p == nil {
		n.Text = "Put a grey card in the light of the subject for a few seconds; then the next take can be advised."
		return n
	}
	n.For = append(n.For, wanted(f)...)
	n.Stops, n.Text = nextStops(f, p.Stops, n.For)
	if curve.Finite(n.Stops) {
		n.Zebra = f.Reading.PercentOf((p.Stops + n.Stops).Light())
	}
	return n
}

// wanted returns the placements that put shadows at the SNRs one may want; none without a model,
// which alone tells of tones beyond those measured.
func wanted(f Facts) (out []ForSNR) {
	if f.Noise.Model == nil {
		return nil
	}
	for _, snr := range limit.WantedSNR {
		if p := f.Noise.Reaching(snr) - limit.Shadow; curve.Finite(p) {
			out = append(out, ForSNR{snr, p, f.Reading.PercentOf(p.Light())})
		}
	}
	return out
}

// nextStops returns the exposure change for the next take, with its reason.
func nextStops(f Facts, grey curve.Stops, wanted []ForSNR) (curve.Stops, string) {
	fields, _ := Lost(f.Clipping.Areas)
	room := roomLeft(f)
	switch {
	case fields > 0 && grey > f.Target+limit.HoldWithin:
		down := grey - f.Target
		return -down, fmt.Sprintf("Close down %.1f stops: a field clips, and grey sits above the target.", down)
	case fields > 0:
		return 0, "A field clips with grey at the target: shade or filter it, add light to the subject, or accept it."
	case math.IsNaN(float64(room)):
		return room, "How far the highlights reach is not known: no light was recorded to tell by."
	case len(wanted) > 1 && wanted[1].Placement > grey+limit.HoldWithin && room > limit.HoldWithin:
		up := min(wanted[1].Placement-grey, room)
		return up, fmt.Sprintf("Open up %.1f stops: shadows gain, and the brightest content stays at least %.1f stops "+
			"under the ceiling.", up, room+limit.Margin-up)
	case room > limit.HoldWithin:
		return 0, fmt.Sprintf("Keep this exposure; up to %.1f stops more would still hold the highlights.", room)
	}
	return 0, "Keep this exposure."
}

// roomLeft returns how far exposure may go up before the brightest content comes too near the
// ceiling; unknown where headroom is.
func roomLeft(f Facts) curve.Stops {
	room := f.Clipping.Headroom - limit.Margin
	if f.Clipping.Ceiling.Origin != clipping.Measured {
		room -= limit.UnseenCeiling
	}
	return room
}
