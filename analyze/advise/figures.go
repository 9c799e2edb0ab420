package advise

import (
	"math"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// A Measured is a take to be set beside others.
type Measured struct {
	Path      string               // of the clip
	Placement *placement.Placement // settled; nil where grey was not found
	Noise     *noise.Result        // never nil
	Clipping  *clipping.Result     // never nil
	Stranger  bool                 // shows another scene than the first take
}

// A Figure is one quantity of a take. Value and Difference are nil where they could not be
// measured.
type Figure struct {
	Name       string       `json:"name"`        // placement, floor, snr, ceiling, headroom, clipped_any ...
	Unit       string       `json:"unit"`        // stops, dB, share
	SceneStops *curve.Stops `json:"scene_stops"` // of an snr: the tone, from the subject's grey; nil for the others
	Value      *Estimate    `json:"value"`       // in Unit
	Difference *Difference  `json:"difference"`  // this take less the first; nil for the first
}

// Units of figures.
const (
	inStops  = "stops"
	inDB     = "dB"
	inShares = "share"
)

// Names of the figures that decide between takes.
const (
	snrFigure     = "snr"
	clippedFigure = "clipped_any"
)

// sceneTones are the tones at which takes are compared, in stops from the subject's grey.
var sceneTones = []curve.Stops{-6, -5, -4, -3, -2, -1, 0, 1, 2}

// figures returns a take's figures, the same ones in the same order for every take.
func figures(m Measured) []Figure {
	grey, shares := greyEstimate(m.Placement), m.Clipping.Clipped
	list := []Figure{{Name: "placement", Unit: inStops, Value: grey}}
	for _, tone := range sceneTones {
		list = append(list, Figure{Name: snrFigure, Unit: inDB, SceneStops: &tone, Value: toneSNR(m, tone)})
	}
	floor := interval(m.Noise.Floor, m.Noise.FloorLow, m.Noise.FloorHigh)
	ceiling := ceilingEstimate(m.Clipping)
	return append(list,
		Figure{Name: "floor", Unit: inStops, Value: floor},
		Figure{Name: "scene_floor", Unit: inStops, Value: fromGrey(floor, grey)},
		Figure{Name: "ceiling", Unit: inStops, Value: ceiling},
		Figure{Name: "scene_ceiling", Unit: inStops, Value: fromGrey(ceiling, grey)},
		Figure{Name: "headroom", Unit: inStops, Value: headroomEstimate(m.Clipping)},
		Figure{Name: "clipped_r", Unit: inShares, Value: shareEstimate(shares.R)},
		Figure{Name: "clipped_g", Unit: inShares, Value: shareEstimate(shares.G)},
		Figure{Name: "clipped_b", Unit: inShares, Value: shareEstimate(shares.B)},
		Figure{Name: clippedFigure, Unit: inShares, Value: anyEstimate(m.Clipping)},
		Figure{Name: "clipped_all", Unit: inShares, Value: shareEstimate(shares.All)},
	)
}

func greyEstimate(p *placement.Placement) *Estimate {
	if p == nil {
		return nil
	}
	return interval(p.Stops, p.Low, p.High)
}

// fromGrey turns a recorded level into one from the subject's grey.
func fromGrey(level, grey *Estimate) *Estimate {
	if level == nil || grey == nil {
		return nil
	}
	e := level.less(*grey)
	return &e
}

// ceilingEstimate is a ceiling. Where it was not seen, the camera may end anywhere over the content that holds; how
// far a shoulder goes on is not known.
func ceilingEstimate(c *clipping.Result) *Estimate {
	if c.Ceiling.Origin == clipping.Shoulder {
		return exactly(c.Ceiling.Recorded)
	}
	at, known := c.Ceiling.Recorded, limit.CeilingKnown
	return interval(at, lowestCeiling(c)-known, at+known)
}

// headroomEstimate is what is left under the ceiling.
func headroomEstimate(c *clipping.Result) *Estimate {
	half := curve.Stops(math.Hypot(float64(limit.CeilingKnown), float64(limit.BrightestKnown)))
	return interval(c.Headroom, c.Headroom-half-(c.Ceiling.Recorded-lowestCeiling(c)), c.Headroom+half)
}

// lowestCeiling is how low the ceiling may lie: where it was not seen, at the brightest content of the channel that
// has least, if that is known to hold, and no lower than cameras clip.
func lowestCeiling(c *clipping.Result) curve.Stops {
	if c.Ceiling.Origin != clipping.CurveEnd {
		return c.Ceiling.Recorded
	}
	low := limit.LeastCeiling
	if held := c.Ceilings.Held - limit.BrightestKnown; held > low && !c.Undecided {
		low = held
	}
	return min(low, c.Ceiling.Recorded)
}

// anyEstimate is the share that clips in any channel, with its own interval where that is known.
func anyEstimate(c *clipping.Result) *Estimate {
	if c.High > 0 {
		return interval(c.Clipped.Any, c.Low, c.High)
	}
	return shareEstimate(c.Clipped.Any)
}

// shareEstimate is a clipped share; a small one is known to half of itself and of what lamps take.
func shareEstimate(share curve.Share) *Estimate {
	half := min(limit.ShareKnown, (share+limit.LittleMore)/2)
	return interval(share, max(share-half, 0), min(share+half, 1))
}

// toneSNR returns the SNR in dB at a scene tone, nil where it or grey is not known. Its interval
// holds the noise's own and, in squares with it, what the placement's leaves open: the SNR where
// the tone would lie at either end of that.
func toneSNR(m Measured, scene curve.Stops) *Estimate {
	p := m.Placement
	if p == nil || !curve.Finite(p.Stops) {
		return nil
	}
	snr := m.Noise.SNR(p.Stops + scene)
	own := interval(snr.Value, snr.Low, snr.High)
	if own == nil {
		return nil
	}
	low, high := m.Noise.SNR(p.Low+scene).Value, m.Noise.SNR(p.High+scene).Value
	return own.widened(*interval(snr.Value, min(low, snr.Value, high), max(low, snr.Value, high)))
}
