package synth

import (
	"math"
	"math/rand/v2"

	"stopledger/decode/synth/random"
)

// A sensor adds the noise and takes what is over the ceiling.
type sensor struct {
	width, height int
	seed          uint64
	grain         Grain
	channels      [3]channel
	fixed         *fixedPattern
}

// expose turns rows of light into what the sensor hands on, and counts what clipped.
func (s *sensor) expose(rows *[3][]float32, frame, y int, grain *grainRows) ClipCount {
	rng := random.Row(s.seed, frame, y, random.Noise)
	z := grain.rows(frame, y)
	for c := range rows {
		s.fixed.gain(rows[c], c, y)
		s.addNoise(rows[c], z[c], s.channels[c], rng)
		s.fixed.offset(rows[c], c, y, float32(s.channels[c].gain))
	}
	return cut(rows, s.channels)
}

func (s *sensor) addNoise(row, z []float32, c channel, rng *rand.Rand) {
	if c.readVar == 0 && c.shot == 0 {
		return
	}
	read, readVar, shot := float32(math.Sqrt(c.readVar)), float32(c.readVar), float32(c.shot)
	few := random.PoissonBelow * shot
	if s.grain != White {
		few = 0 // correlated noise is normal throughout
	}
	for i, v := range row {
		if v > 0 && v < few {
			row[i] = float32(random.Poisson(rng.Uint64(), min(v/shot, random.MostMean)))*shot + read*z[i]
			continue
		}
		row[i] = v + float32(math.Sqrt(float64(readVar+shot*max(v, 0))))*z[i]
	}
}

// cut limits each channel to its ceiling.
func cut(rows *[3][]float32, channels [3]channel) ClipCount {
	top := [3]float32{float32(channels[0].ceiling), float32(channels[1].ceiling), float32(channels[2].ceiling)}
	n := ClipCount{Pixels: len(rows[0])}
	for i := range rows[0] {
		over := 0
		for c := range rows {
			if rows[c][i] >= top[c] {
				rows[c][i] = top[c]
				over |= 1 << c
			}
		}
		if over == 0 {
			continue
		}
		n.R += over & 1
		n.G += over >> 1 & 1
		n.B += over >> 2
		n.Any++
		if over == 7 {
			n.All++
		}
	}
	return n
}

// grainRows makes the unit noise of a row. Rows asked for in order reuse the shared one.
type grainRows struct {
	s          *sensor
	z          [3][]float32
	here, next whiteRows
}

type whiteRows struct {
	frame, y int
	valid    bool
	z        [3][]float32
}

func newGrainRows(s *sensor) *grainRows {
	g := &grainRows{s: s}
	for c := range g.z {
		g.z[c] = make([]float32, s.width)
		g.here.z[c] = make([]float32, s.width+1)
		g.next.z[c] = make([]float32, s.width+1)
	}
	return g
}

func (g *grainRows) rows(frame, y int) [3][]float32 {
	if g.s.grain == White {
		g.here.fill(g.s.seed, frame, y)
		return [3][]float32{g.here.z[0][:g.s.width], g.here.z[1][:g.s.width], g.here.z[2][:g.s.width]}
	}
	if g.next.valid && g.next.frame == frame && g.next.y == y {
		g.here, g.next = g.next, g.here
	} else {
		g.here.fill(g.s.seed, frame, y)
	}
	g.next.fill(g.s.seed, frame, y+1)
	for c := range g.z {
		a, b := g.here.z[c], g.next.z[c]
		for i := range g.z[c] {
			g.z[c][i] = (a[i] + a[i+1] + b[i] + b[i+1]) / 2 // four halves: variance 1
		}
	}
	return g.z
}

// whiteSeed keeps the normal numbers apart from the Poisson ones of the same row.
const whiteSeed = 0x6772_6169_6e

func (w *whiteRows) fill(seed uint64, frame, y int) {
	rng := random.Row(seed^whiteSeed, frame, y, random.Noise)
	for c := range w.z {
		for i := range w.z[c] {
			w.z[c][i] = float32(rng.NormFloat64())
		}
	}
	w.frame, w.y, w.valid = frame, y, true
}
