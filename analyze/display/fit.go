package display

import (
	"stopledger/curve"
)

// A Fit is how a file shows the tones of a curve, by which one made for another curve is told.
type Fit struct {
	Grey     curve.Percent // of white, of grey at the placement that the file was made for
	Contrast curve.Percent // of white to the stop, over the stop around grey
	Veil     curve.Percent // how far no light at all lies over the darkest that the file shows
	Toe      curve.Stops   // from grey, of the darkest tone that is told from black; unknown where none is
}

// toldFromBlack is how far over the darkest a tone shows that is told from it, of white.
const toldFromBlack curve.Percent = 2

// Fit returns how the file shows the tones of a curve that is recorded as this one is.
func (r *Rendering) Fit(c *curve.Curve) Fit {
	with := *r
	with.reading.Curve = c
	with.gain, with.offset = with.reading.InDomain(r.File.Domain)
	at := func(fromGrey curve.Stops) curve.Percent { return with.Signal((r.File.Expects + fromGrey).Light()) }
	darkest := with.darkest()
	f := Fit{Grey: at(0), Contrast: at(0.5) - at(-0.5), Veil: with.Signal(0) - darkest, Toe: curve.Unknown[curve.Stops]()}
	const lowest, highest, step = -14, 4, 0.125
	for tone := curve.Stops(lowest); tone < highest; tone += step {
		if at(tone) > darkest+toldFromBlack {
			f.Toe = tone
			break
		}
	}
	return f
}

// darkest is the lowest signal of a neutral, of white, over the curve's values 0..1.
func (r *Rendering) darkest() curve.Percent {
	const steps = 256
	lowest := curve.Percent(100)
	for i := range steps + 1 {
		lowest = min(lowest, r.share(float64(i)/steps))
	}
	return lowest
}
