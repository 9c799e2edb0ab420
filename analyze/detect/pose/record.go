package pose

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// toBT2020 takes linear BT.709 to linear BT.2020 (Report ITU-R BT.2087-0, annex 1).
var toBT2020 = [3][3]float64{
	{0.6274, 0.3293, 0.0433}, {0.0691, 0.9195, 0.0114}, {0.0164, 0.0880, 0.8956},
}

// Signals returns R', G', B' codes of every pixel after light, exposure, lens and noise.
func (s *Scene) Signals(r curve.Reading) [][3]float32 {
	lin := make([][3]float32, len(s.Pix))
	gain := [3]float64{}
	for k := range gain {
		gain[k] = (s.Stops + s.Balance[k]).Gain()
	}
	for y := range s.H {
		for x := range s.W {
			i := y*s.W + x
			l := s.Light(float64(x)+0.5, float64(y)+0.5)
			p := s.Pix[i]
			if s.Wide {
				q := p
				for k := range q {
					q[k] = float32(toBT2020[k][0])*p[0] + float32(toBT2020[k][1])*p[1] + float32(toBT2020[k][2])*p[2]
				}
				p = q
			}
			for k := range p {
				lin[i][k] = p[k] * float32(l*gain[k])
			}
		}
	}
	lin = blur(lin, s.W, s.H, s.BlurPx)
	s.addNoise(lin)
	top := r.Table().Light
	clip := float32(top[len(top)-1])
	for i := range lin {
		for k := range lin[i] {
			lin[i][k] = float32(r.CodeOf(curve.Light(min(lin[i][k], clip))))
		}
	}
	return lin
}

// addNoise: variance = read^2 + shot L, from the SNR at grey and the floor.
func (s *Scene) addNoise(lin [][3]float32) {
	floor := float64(s.FloorStops.Light())
	// SNR(0.18) = greySNR and SNR(floor) = 1 give two equations for read^2 and shot
	a := 0.18 * 0.18 / float64(s.GreySNR*s.GreySNR)
	shot := math.Max((a-floor*floor)/(0.18-floor), 0)
	read2 := math.Max(floor*floor-shot*floor, 0)
	for i := range lin {
		for k := range lin[i] {
			l := float64(lin[i][k])
			lin[i][k] += float32(math.Sqrt(read2+shot*math.Max(l, 0)) * s.rng.NormFloat64())
		}
	}
}

func blur(in [][3]float32, w, h int, sigma float64) [][3]float32 {
	if sigma <= 0 {
		return in
	}
	n := int(math.Ceil(3 * sigma))
	kernel := make([]float32, 2*n+1)
	var sum float32
	for i := range kernel {
		d := float64(i - n)
		kernel[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += kernel[i]
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	tmp, out := make([][3]float32, len(in)), make([][3]float32, len(in))
	for y := range h {
		for x := range w {
			var a [3]float32
			for i, g := range kernel {
				p := &in[y*w+min(max(x+i-n, 0), w-1)]
				a[0] += g * p[0]
				a[1] += g * p[1]
				a[2] += g * p[2]
			}
			tmp[y*w+x] = a
		}
	}
	for y := range h {
		for x := range w {
			var a [3]float32
			for i, g := range kernel {
				p := &tmp[min(max(y+i-n, 0), h-1)*w+x]
				a[0] += g * p[0]
				a[1] += g * p[1]
				a[2] += g * p[2]
			}
			out[y*w+x] = a
		}
	}
	return out
}

// Frame records the scene as Y'CbCr 4:2:0 (or 4:2:2).
func (s *Scene) Frame(r curve.Reading, m curve.Matrix, subY int) *decode.Frame {
	sig := s.Signals(r)
	c := r.Chroma(m)
	top := float64(int(1)<<r.Bits - 1)
	round := func(v float64) uint16 { return uint16(math.Min(math.Max(math.Round(v), 0), top)) }
	f := &decode.Frame{Layout: decode.YCbCr, Bits: r.Bits}
	cw, ch := s.W/2, s.H/subY
	f.Planes[0] = Plane(s.W, s.H)
	f.Planes[1], f.Planes[2] = Plane(cw, ch), Plane(cw, ch)
	u, v := make([]float64, cw*ch), make([]float64, cw*ch)
	for y := range s.H {
		for x := range s.W {
			p := sig[y*s.W+x]
			luma := m.Kr*float64(p[0]) + m.Kg()*float64(p[1]) + m.Kb*float64(p[2])
			f.Planes[0].Samples[y*f.Planes[0].Stride+x] = round(luma)
			i := min(y/subY, ch-1)*cw + min(x/2, cw-1)
			u[i] += (float64(p[2]) - luma) / c.CbB / float64(2*subY)
			v[i] += (float64(p[0]) - luma) / c.CrR / float64(2*subY)
		}
	}
	for y := range ch {
		for x := range cw {
			f.Planes[1].Samples[y*f.Planes[1].Stride+x] = round(u[y*cw+x] + c.Mid)
			f.Planes[2].Samples[y*f.Planes[2].Stride+x] = round(v[y*cw+x] + c.Mid)
		}
	}
	return f
}

// Plane returns an empty plane whose padding is poisoned with the top code.
func Plane(w, h int) decode.Plane {
	p := decode.Plane{Stride: w + 8, Width: w, Height: h, Samples: make([]uint16, (w+8)*h)}
	for i := range p.Samples {
		p.Samples[i] = 65535
	}
	return p
}
