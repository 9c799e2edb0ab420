package clipping

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"stopledger/curve"
)

const (
	// softStops is how far below the ceiling a roll-off is looked for.
	softStops curve.Stops = 0.25
	// nearCeiling is how many codes below a ceiling samples still belong to it.
	nearCeiling curve.Code = 2
	// brightShare is the percentile of the brightest content that matters.
	brightShare = 0.999
)

// below returns a channel's samples by bin, those at its ceiling left out.
func (t *tops) below(channel int, c *Ceilings) []float64 {
	count := t.histograms[channel].count
	if !c.known(channel) {
		return count
	}
	return count[:int(float64(t.reading.Code(c.From[channel])-nearCeiling)*perCode)]
}

// soft returns the largest share of a channel's samples in the roll-off below the ceiling.
func (t *tops) soft(c *Ceilings) (share curve.Share) {
	light := curve.Light(float64(t.reading.Light(c.Code)) * (-softStops).Gain())
	from := int(math.Ceil(float64(t.reading.Code(t.reading.CodeOf(light))) * perCode))
	for i := range t.histograms {
		count := t.below(i, c)
		share = max(share, curve.Share(floats.Sum(count[min(max(from, 0), len(count)):])/t.samples))
	}
	return share
}

// brightest returns the 99.9th percentile of the samples below the ceilings, of the brightest channel and of the
// least bright.
func (t *tops) brightest(c *Ceilings) (most, least curve.FileCode) {
	least = t.reading.Last()
	for i := range t.histograms {
		code := t.brightestOf(i, c)
		most, least = max(most, code), min(least, code)
	}
	return most, least
}

func (t *tops) brightestOf(channel int, c *Ceilings) curve.FileCode {
	count := t.below(channel, c)
	all := floats.Sum(count)
	var sum float64
	for at := len(count) - 1; at > 0; at-- {
		sum += count[at]
		if sum >= (1-brightShare)*all && sum > 0 {
			return min(t.reading.FileCode(codeOf(float64(at))), t.reading.Last())
		}
	}
	return 0
}
