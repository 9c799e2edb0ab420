package reporttest

import (
	"math"
	"math/rand/v2"
	"sync"

	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/report"
)

// A Scene draws stills of a landing stage: sky over a line of hills, water, a dark shed
// with a lit window, a grey card. Light is relative to a nominal exposure and multiplied by the
// exposure; read and shot noise are added, then each channel is cut at the ceiling.
type Scene struct {
	Exposure float64 // stops
	Sky      float64 // stops of the sky over grey
	Ceiling  float64 // recorded stops
	Read     float64 // linear
	Shot     float64 // linear
	Seed     uint64
}

// light returns the scene's light in R, G and B at a place, 0..1 across and down.
func (s Scene) light(x, y float64) [3]float64 {
	hills := 0.42 + 0.05*math.Sin(7*x) + 0.03*math.Sin(17*x+1)
	grey := func(stops, r, g, b float64) [3]float64 {
		l := curve.MidGrey * math.Exp2(stops)
		return [3]float64{l * r, l * g, l * b}
	}
	switch {
	case x > 0.63 && x < 0.73 && y > 0.55 && y < 0.67: // card
		return grey(0, 1, 1, 1)
	case x > 0.17 && x < 0.22 && y > 0.56 && y < 0.62: // lit window
		return grey(4.6, 1.3, 1, 0.6)
	case x > 0.08 && x < 0.36 && y > 0.48+0.25*math.Abs(x-0.22) && y < 0.86: // shed
		return grey(-3.9+0.5*math.Sin(60*x), 1.1, 1, 0.9)
	case y < hills: // sky, a brighter place in it
		glow := math.Exp(-((x-0.82)*(x-0.82) + (y-0.16)*(y-0.16)) / 0.006)
		return grey(s.Sky-1.6*y+3.2*glow, 0.93, 1, 1.12)
	case y < 0.5: // hills
		return grey(-2.2+1.5*(y-hills)/0.1+0.2*math.Sin(90*x), 0.9, 1, 0.85)
	default: // water
		ripple := 0.6 * math.Sin(220*y*y+6*math.Sin(9*x)) * (1.3 - y)
		return grey(-0.9+ripple-1.5*(y-0.5), 0.9, 1, 1.08)
	}
}

// Still draws a w x h piece of a frame of frameW x frameH pixels, scale of them to one.
func (s Scene) Still(x0, y0, w, h, frameW, frameH int, scale float64, frame uint64) still.Still {
	n := w * h
	st := still.Still{Width: w, Height: h, Scale: scale, X: x0, Y: y0,
		R: make([]float32, n), G: make([]float32, n), B: make([]float32, n),
		Clipped: make([]uint8, n)}
	random := rand.New(rand.NewPCG(s.Seed, frame))
	gain, top := math.Exp2(s.Exposure), curve.MidGrey*math.Exp2(s.Ceiling)
	for i := range n {
		x := (float64(x0) + (float64(i%w)+0.5)*scale) / float64(frameW)
		y := (float64(y0) + (float64(i/w)+0.5)*scale) / float64(frameH)
		rgb := s.light(x, y)
		for k, plane := range [][]float32{st.R, st.G, st.B} {
			v := rgb[k] * gain
			v += random.NormFloat64() * math.Sqrt(s.Read*s.Read+s.Shot*v) / scale
			if v >= top {
				v = top
				st.Clipped[i] |= 1 << k
			}
			plane[i] = float32(v)
		}
	}
	return st
}

// Code is a log curve of 79 codes to the stop with grey at 420 and black at 95.
func Code(linear float64) uint16 {
	return uint16(math.Min(math.Max(95+79*math.Log2(1+math.Max(linear, 0)*96.2), 4), 1019))
}

// Stills draws all pictures of a clip of w pixels across, 16:9: the frame 960 pixels wide, the shed in six
// frames, the waveforms, blocks.
func (s Scene) Stills(w int) *still.Stills {
	h := w * 9 / 16
	frame := s.Still(0, 0, 960, 540, w, h, float64(w)/960, 0)
	strip := &still.Strip{Scene: -4}
	for i := range uint64(6) {
		strip.Frames = append(strip.Frames, s.Still(w*17/96, w*37/96, 160, 160, w, h, 1, i+1))
	}
	drawn := func(light []float32) *still.Waveform { return waveform(&frame, codes(light)) }
	return &still.Stills{Frame: &frame, Shadows: strip, Waveform: drawn(luma(&frame)),
		Channels: []*still.Waveform{drawn(frame.R), drawn(frame.G), drawn(frame.B)}, Grid: Grid(&frame, 4)}
}

// Grid is a still in blocks of n x n of its pixels.
func Grid(s *still.Still, n int) *still.Grid {
	g := &still.Grid{Side: n * int(s.Scale), Width: s.Width / n, Height: s.Height / n}
	for code := range 1024 {
		g.Light = append(g.Light, float32((math.Exp2((float64(code)-95)/79)-1)/96.2))
	}
	for i := range g.Width * g.Height {
		var sums [5]float64 // R, G, B, luma and its square
		var clipped uint8
		for k := range n * n {
			at := (i/g.Width*n+k/n)*s.Width + i%g.Width*n + k%n
			luma := 0.2126*float64(s.R[at]) + 0.7152*float64(s.G[at]) + 0.0722*float64(s.B[at])
			for c, v := range []float64{float64(s.R[at]), float64(s.G[at]), float64(s.B[at]), luma, luma * luma} {
				sums[c] += v / float64(n*n)
			}
			clipped |= s.Clipped[at]
		}
		g.R, g.G, g.B = append(g.R, float32(sums[0])), append(g.G, float32(sums[1])), append(g.B, float32(sums[2]))
		g.Luma, g.Clipped = append(g.Luma, float32(sums[3])), append(g.Clipped, clipped)
		g.Spread = append(g.Spread, float32(math.Sqrt(math.Max(sums[4]-sums[3]*sums[3], 0))))
	}
	return g
}

// luma weighs R, G and B as in BT.709.
func luma(s *still.Still) (light []float32) {
	for i, r := range s.R {
		light = append(light, float32(0.2126*float64(r)+0.7152*float64(s.G[i])+0.0722*float64(s.B[i])))
	}
	return light
}

func codes(light []float32) (codes []uint16) {
	for _, l := range light {
		codes = append(codes, Code(float64(l)))
	}
	return codes
}

func waveform(s *still.Still, codes []uint16) *still.Waveform {
	w := &still.Waveform{Columns: 320, Levels: 236, First: -8, Step: 0.5}
	w.Counts = make([]uint32, w.Columns*w.Levels)
	for i, code := range codes {
		level := int(((float64(code)-64)/8.76 - float64(w.First)) / float64(w.Step))
		if level >= 0 && level < w.Levels {
			w.Counts[level*w.Columns+i%s.Width*w.Columns/s.Width]++
		}
	}
	return w
}

// ShootStills are the pictures of the first clips of a document by their paths: of all of Shoot
// but the last, which has none.
func ShootStills(doc *report.Document) map[string]*still.Stills {
	byPath := map[string]*still.Stills{}
	for i, s := range stills() {
		if i < len(doc.Clips) {
			byPath[doc.Clips[i].Path] = s
		}
	}
	return byPath
}

var stills = sync.OnceValue(func() (drawn []*still.Stills) {
	for _, s := range []Scene{
		{Exposure: 1.31, Sky: 2.6, Ceiling: 5.6, Read: 9e-4, Shot: 2.2e-5, Seed: 1},
		{Exposure: 3.1, Sky: 3.4, Ceiling: 5.6, Read: 9e-4, Shot: 2.2e-5, Seed: 2},
		{Exposure: -2.4, Sky: -1.5, Ceiling: 4.3, Read: 2.1e-3, Shot: 6e-5, Seed: 3},
		{Exposure: -0.35, Sky: 1.4, Ceiling: 5.6, Read: 4e-4, Shot: 9e-6, Seed: 4},
	} {
		wide := 3840 // as the clips of Shoot are
		if s.Seed == 3 {
			wide = 1920
		}
		drawn = append(drawn, s.Stills(wide))
	}
	return drawn
})
