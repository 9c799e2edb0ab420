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
		Code: make([]uint16, n), Clipped: make([]uint8, n)}
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
		st.Code[i] = Code(0.2126*float64(st.R[i]) + 0.7152*float64(st.G[i]) + 0.0722*float64(st.B[i]))
	}
	return st
}

// Code is a log curve of 79 codes to the stop with grey at 420 and black at 95.
func Code(linear float64) uint16 {
	return uint16(math.Min(math.Max(95+79*math.Log2(1+math.Max(linear, 0)*96.2), 4), 1019))
}

// Stills draws all pictures of a clip of 1920 x 1080 pixels: the frame at half size, the shed in
// eight frames, the waveform.
func (s Scene) Stills() *still.Stills {
	const w, h = 1920, 1080
	frame := s.Still(0, 0, w/2, h/2, w, h, 2, 0)
	strip := &still.Strip{Scene: -4}
	for i := range uint64(8) {
		strip.Frames = append(strip.Frames, s.Still(420, 780, 80, 80, w, h, 1, i+1))
	}
	return &still.Stills{Frame: &frame, Shadows: strip, Waveform: waveform(&frame)}
}

func waveform(s *still.Still) *still.Waveform {
	w := &still.Waveform{Columns: 320, Levels: 236, First: -8, Step: 0.5}
	w.Counts = make([]uint32, w.Columns*w.Levels)
	for i, code := range s.Code {
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
		drawn = append(drawn, s.Stills())
	}
	return drawn
})
