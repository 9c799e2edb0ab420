package noise

import (
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// A Recording is what the noise of a clip is measured and judged by.
type Recording struct {
	Table      *curve.Table // of the clip's reading
	Matrix     curve.Matrix // that makes R', G' and B'
	LossyCodec bool         // coding may have taken noise
	Codec      string       // FFmpeg's name of it
	Profile    string       // FFmpeg's name of its profile
	// BitsPerPixel is the clip's rate; 0 where it is not known.
	BitsPerPixel float64
	LongGOP      bool              // frames are predicted from others
	Ceiling      curve.FileCode    // of the first channel to clip; the curve's top if none is seen
	Clipped      [3]curve.FileCode // from which R', G' and B' count as clipped; +Inf where no ceiling is seen
	LookEvery    int               // groups numbered a multiple of it get a closer look; 1 or less for all
}

// An Accumulator collects the noise of groups of frames.
type Accumulator struct {
	recording Recording
	scale     *toneScale
	chroma    curve.Chroma
	rounding  [3]float64 // variance that rounding leaves in R', G' and B', file code^2
	groups    []*group   // the last one may be in the making
}

// New returns an empty accumulator.
func New(r Recording) *Accumulator {
	scale := newToneScale(r.Table)
	scale.coded = r.LossyCodec
	scale.ends = r.Codec == "hevc" || r.Codec == "h264"
	if r.LossyCodec && !r.LongGOP { // coding that carries nothing over leaves rests of noise
		scale.least = quantised + float64(LeastSigma*LeastSigma)
	}
	return &Accumulator{recording: r, scale: scale, chroma: r.Table.Reading.Chroma(r.Matrix)}
}

// Collect takes the next frame. All frames of a group go to one accumulator, in order.
func (a *Accumulator) Collect(f *cells.Frame) {
	if f.Start {
		a.groups = append(a.groups, newGroup(f))
		a.rounding = cells.Rounding(f.Frame, a.chroma)
	}
	g := a.groups[len(a.groups)-1]
	g.collect(f, a.scale)
	if g.frames == 2 && f.Group%max(a.recording.LookEvery, 1) == 0 {
		g.detail = look(f, a.chroma)
	}
}

// Merge adds what another accumulator of the same recording collected of other groups. The
// order of merging does not matter: results take the groups in their order.
func (a *Accumulator) Merge(other *Accumulator) {
	a.groups = append(a.groups, other.groups...)
	if len(other.groups) > 0 {
		a.rounding = other.rounding
	}
}

// detailCells gathers the closer looks' cells, of luma (-1) or a channel, and how many looks there were.
func detailCells(groups []*group, channel int) (list []detailCell, looks int) {
	for _, g := range groups {
		if g.detail == nil {
			continue
		}
		looks++
		looked := g.detail.luma
		if channel >= 0 {
			looked = g.detail.channels[channel]
		}
		list = slices.Grow(list, len(looked))
		for i := range looked {
			list = append(list, looked[i].cell())
		}
	}
	return list, looks
}

// channel estimates the tones of R', G' or B' and their grain.
func (a *Accumulator) channel(groups []*group, channel int) ([]tone, grain) {
	list, looks := detailCells(groups, channel)
	var samples []sample
	for _, c := range list {
		// Rounding of Y', Cb and Cr adds another amount than 1/12; what is taken off later is that.
		c.variance += quantised - a.rounding[channel]
		if float64(c.code)+3*math.Sqrt(max(c.variance, 0)) < float64(a.recording.Clipped[channel]) {
			samples = append(samples, c.sample)
		}
	}
	table := toneTable{}
	table.add(samples, a.scale, false, new(scratch))
	g := grainOf(stillCells(list, table.tones(worth{looks, 1, whiteGrain})))
	return table.tones(worth{looks, 1, g}), g
}
