package noise

import (
	"fmt"
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// evidence is what all groups say of movement and repeats.
type evidence struct {
	growth  growth // medians over the batches
	moving  bool   // most batches move
	repeats curve.Share
	fields  float64 // displacement between the fields of a frame, pixels, NaN
}

func evidenceOf(groups []*group) evidence {
	var flat, quarter, textured, excess, offset, fields []float64
	e := evidence{}
	moving, batches, repeats, pairs := 0, 0, 0, 0
	for _, g := range groups {
		for _, one := range g.growths {
			flat, quarter = finite(flat, one.flat), finite(quarter, one.quarter)
			textured = finite(textured, one.textured)
			excess, offset = finite(excess, one.excess), append(offset, one.offset)
		}
		moving += g.moving
		batches += len(g.growths)
		repeats += g.repeats
		pairs += g.repeats + g.pairs
		if g.detail != nil {
			fields = finite(fields, math.Abs(g.detail.fields))
		}
	}
	e.growth = growth{robust.Median(flat), robust.Median(quarter), robust.Median(textured), robust.Median(excess),
		robust.Median(offset)}
	e.moving = 2*moving > batches || e.growth.flat > limit.MostCarried
	e.fields = robust.Median(fields)
	if pairs > 0 {
		e.repeats = curve.Share(float64(repeats) / float64(pairs))
	}
	return e
}

// finite adds a value unless it is NaN.
func finite(to []float64, v float64) []float64 {
	if math.IsNaN(v) {
		return to
	}
	return append(to, v)
}

// either tells whether noise reduction over time would look as the movement does: no cell is without texture,
// and the others differ no more from the first frame than a filter would make them.
func (e evidence) either() bool {
	return math.IsNaN(e.growth.flat) && e.growth.textured < float64(limit.OnlyMotion)
}

// causes returns what stands out, without what suppresses the noise.
func (e evidence) causes(c Codec, r Recording) (out []Cause) {
	if e.repeats > 0 {
		out = append(out, FramesRepeated)
	}
	switch {
	case e.moving && e.fields > limit.FieldShift:
		out = append(out, InterlacedMotion)
	case e.moving && e.either():
		out = append(out, MotionOrReduction)
	case e.moving:
		out = append(out, Motion)
	}
	if !e.moving && c.reduced(r) {
		out = append(out, SpatialReduction)
	}
	return out
}

// reduced tells whether the finest noise is missing, as spatial noise reduction leaves it: coarse, or
// here gone and there not.
func (c Codec) reduced(r Recording) bool {
	switch {
	case r.Codec == "prores":
		return c.CoarseOverFine > limit.CoarseProRes
	case r.LossyCodec:
		return c.CoarseOverFine > limit.CoarseCoded
	}
	return c.CoarseOverFine > limit.Coarse || c.Kurtosis > limit.KurtosisReduced
}

// movesTexture is how many times as much noise grows in texture as without it where something moves: a filter over time
// makes it grow alike (0.9 to 1.2 times, leaves 2.2; computed).
const movesTexture = 1.5

// suppression says why the recorded noise understates the camera's, "" when nothing shows it.
func (c Codec) suppression(e evidence, r Recording) (string, Cause) {
	longGOP, carrier := r.LongGOP, TemporalReduction
	switch {
	case longGOP:
		carrier = CodecCarries
	case r.LossyCodec && e.repeats > 0: // coding has made others than these a little unlike the frame before
		carrier = FramesRepeated
	case e.moving, e.growth.quarter < (1+e.growth.flat)/2, // here and there only
		e.growth.textured-1 > movesTexture*(e.growth.flat-1):
		carrier = MotionOrReduction
	}
	switch {
	case e.repeats > limit.FramesRepeated:
		return fmt.Sprintf("%.0f %% of the frames repeat the frame before exactly", 100*e.repeats), CodecCarries
	case c.RepeatedShare > limit.Repeated:
		return fmt.Sprintf("%.1f %% of the picture repeats the frame before exactly", 100*c.RepeatedShare), CodecCarries
	case c.LagGrowth > limit.Growth && (longGOP || !(e.moving && c.LagGrowth > limit.OnlyMotion)):
		return fmt.Sprintf("noise grows %.0f %% between neighbouring and more distant frames: ", 100*(c.LagGrowth-1)) +
			carriers[carrier], carrier
	case longGOP && c.Spread > limit.Spread:
		return fmt.Sprintf("noise changes by a factor of %.1f from frame to frame with the kind of coded picture",
			min(c.Spread, 100)), CodecCarries
	case longGOP && c.Kurtosis > limit.Kurtosis:
		return "some parts of the picture are renewed while others are carried over", CodecCarries
	}
	return "", ""
}

var carriers = map[Cause]string{
	CodecCarries:      "parts of the picture are carried over",
	FramesRepeated:    "frames are given twice, some of them coded anew",
	TemporalReduction: "parts of the picture are carried over by the camera's noise reduction",
	MotionOrReduction: "parts of the picture are carried over, or it moves: movement or noise reduction",
}

// unmeasured says why no noise can be told in a picture that moves, "" where it can.
func (e evidence) unmeasured(tones []tone) string {
	if !e.moving {
		return ""
	}
	if e.growth.flat <= float64(limit.Growth) { // not NaN
		for _, t := range tones {
			if !math.IsNaN(t.sigma) {
				return ""
			}
		}
	}
	what := "the picture moves"
	if e.either() {
		what = "the picture moves or the camera reduces noise over time"
	}
	return what + ", and too little of it is free of texture"
}
