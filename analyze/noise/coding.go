package noise

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"stopledger/analyze/robust"
	"stopledger/curve"
)

func unknownCoding(reason string) Coding {
	u := curve.Unknown[curve.Decibels]()
	return Coding{u, u, u, CodingHidden, reason}
}

// A lossKnot is the loss at a recorded noise.
type lossKnot struct {
	sigma           float64 // recorded, 10-bit codes
	loss, low, high float64 // dB
}

// A lossTable is the loss of a family of codecs by recorded noise; straight lines over the
// logarithm of the noise between its knots, and as at the ends beyond them.
type lossTable struct {
	profiles    []string // parts of the profiles' names for which it holds; nil for all
	ratePerCode float64  // bits a pixel, for each 10-bit code of noise, under which it does not hold; 0 for none
	knots       []lossKnot
}

// at returns the loss at a recorded noise, 10-bit codes.
func (t lossTable) at(sigma float64) (k lossKnot) {
	i := sort.Search(len(t.knots), func(i int) bool { return t.knots[i].sigma >= sigma })
	if i == 0 {
		return t.knots[0]
	}
	if i == len(t.knots) {
		return t.knots[i-1]
	}
	a, b := t.knots[i-1], t.knots[i]
	part := math.Log(sigma/a.sigma) / math.Log(b.sigma/a.sigma)
	along := func(a, b float64) float64 { return a + part*(b-a) }
	return lossKnot{sigma, along(a.loss, b.loss), along(a.low, b.low), along(a.high, b.high)}
}

// noLoss is of lossless coding.
var noLoss = lossTable{knots: []lossKnot{{sigma: 1}}}

// coder returns the table of losses of the recording, nil and a reason where there is none. sigma is
// the noise of a usual tone as recorded, 10-bit codes.
func (r Recording) coder(sigma float64) (*lossTable, string) {
	if !r.LossyCodec {
		return &noLoss, ""
	}
	if r.LongGOP {
		return nil, "frames are predicted from others: what coding took is not known"
	}
	t, ok := losses[r.Codec]
	named := func(part string) bool { return strings.Contains(r.Profile, part) }
	switch {
	case !ok, t.profiles != nil && !slices.ContainsFunc(t.profiles, named):
		return nil, "what this codec and profile take off noise is not known"
	case r.BitsPerPixel > 0 && r.BitsPerPixel < t.ratePerCode*sigma:
		return nil, fmt.Sprintf("%.1f bits a pixel: at so low a rate what coding took is not known", r.BitsPerPixel)
	}
	return &t, ""
}

// usual returns the median noise of tones, 10-bit codes; NaN without one.
func (r Recording) usual(tones []tone) float64 {
	var all []float64
	for _, t := range tones {
		all = finite(all, t.sigma/r.Table.Reading.PerCode())
	}
	return robust.Median(all)
}

// farUnder is how many times the noise of a tone the noisiest tone's may be for the table to hold. A coder
// shares its bits over the picture: by the noisiest parts it quantises others more coarsely.
const farUnder = 3

// lossesOf returns what coding took of each tone; nil and a reason where that is not known.
func (r Recording) lossesOf(tones []tone) ([]lossKnot, string) {
	table, reason := r.coder(r.usual(tones))
	if table == nil {
		return nil, reason
	}
	noisiest := 0.0
	for _, t := range tones {
		if t.sigma > noisiest { // not NaN
			noisiest = t.sigma
		}
	}
	out := make([]lossKnot, len(tones))
	for i, t := range tones {
		k := table.at(t.sigma / r.Table.Reading.PerCode())
		if over := noisiest / t.sigma / farUnder; over > 1 && r.LossyCodec {
			k.loss += 5 * math.Log10(over)
			k.high += 10 * math.Log10(over)
		}
		out[i] = k
	}
	return out, ""
}

// codingOf sums the losses up over the tones.
func (r Recording) codingOf(tones []tone) Coding {
	losses, reason := r.lossesOf(tones)
	if reason != "" {
		return unknownCoding(reason)
	}
	if !r.LossyCodec {
		return Coding{Origin: Lossless}
	}
	var all []float64
	low, high := math.Inf(1), math.Inf(-1)
	for i, t := range tones {
		if k := losses[i]; !math.IsNaN(t.sigma) {
			all = append(all, k.loss)
			low, high = min(low, k.low), max(high, k.high)
		}
	}
	if len(all) == 0 {
		return unknownCoding("no tone's noise could be measured")
	}
	return Coding{curve.Decibels(robust.Median(all)), curve.Decibels(low), curve.Decibels(high), CodecFamily, ""}
}

// losses are those of families of codecs. Of ProRes 422 HQ, DNxHR HQX and fine HEVC intra they were
// measured on the synthetic camera, single tones of scenes with and without texture, and lie
// around what white noise showed; of H.264 intra they are those of white noise, made wide.
// testdata/noise.md has the figures.
var losses = map[string]lossTable{
	"prores": {profiles: []string{"HQ", "4444", "XQ"}, knots: []lossKnot{
		{0.5, 1.6, -0.2, 4.2}, {1, 1.5, 0.4, 3.4}, {2, 1.5, 0.6, 2.7}, {4, 1.3, 0.4, 2.3}, {8, 0.8, 0, 1.7}}},
	"dnxhd": {profiles: []string{"HQX", "444"}, knots: []lossKnot{
		{0.5, 0, -2.7, 5.2}, {1, 0, -1.7, 4}, {1.5, 0, -1.5, 2.4}, {2.5, -0.1, -1.2, 1}, {8, -0.4, -1.2, 0.4}}},
	"hevc": {ratePerCode: 0.3, knots: []lossKnot{
		{0.5, 3.2, -2, 9}, {0.7, 2.7, -4, 7.5}, {1, 2.2, -4.5, 6}, {1.3, 1.8, -4.5, 5.2}, {1.6, 1.7, -2, 4.6},
		{2, 1.6, -0.6, 3.9}, {4, 1.1, -0.3, 2.8}, {8, 0.5, -0.4, 1.9}}},
	"h264": {ratePerCode: 0.3, knots: []lossKnot{
		{0.5, 3, 0, 7}, {1, 1.5, 0, 5}, {2, 0.5, -0.2, 2}, {4, 0.3, -0.2, 1.5}, {8, 0.2, -0.2, 1}}},
}
