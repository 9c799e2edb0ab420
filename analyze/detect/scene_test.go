package detect

import (
	"math"
	"math/rand/v2"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// A scene is rendered here in scene-linear light, as a camera with noise would record it. It
// shares nothing with the code it tests but the published patch values.
type scene struct {
	w, h       int
	pix        [][3]float32 // reflectance x light, before exposure
	light      func(x, y float64) float64
	stops      float64    // exposure: 0 records 18 % at 0.18
	balance    [3]float64 // camera's R, G, B stops for a neutral
	wide       bool       // record BT.2020 instead of BT.709 primaries
	blurPx     float64
	greySNR    float64 // of one channel at 18 % recorded, as a ratio
	floorStops float64 // recorded stops at which SNR is 1
	rng        *rand.Rand
}

func newScene(w, h int, seed uint64) *scene {
	return &scene{w: w, h: h, pix: make([][3]float32, w*h), light: func(x, y float64) float64 { return 1 },
		blurPx: 0.6, greySNR: 100, floorStops: -8, rng: rand.New(rand.NewPCG(seed, 42))}
}

func (s *scene) between(a, b float64) float64 { return a + (b-a)*s.rng.Float64() }

// paint draws over the bounds of where with 3x3 samples a pixel; ink returns the colour and
// whether anything is there.
func (s *scene) paint(b geometry.Quad, ink func(p geometry.Point) ([3]float64, bool)) {
	r := b.Bounds()
	for y := max(r.Min.Y, 0); y < min(r.Max.Y, s.h); y++ {
		for x := max(r.Min.X, 0); x < min(r.Max.X, s.w); x++ {
			var sum [3]float64
			n := 0.0
			for j := range 3 {
				for i := range 3 {
					p := geometry.Point{float64(x) + (float64(i)+0.5)/3, float64(y) + (float64(j)+0.5)/3}
					if c, ok := ink(p); ok {
						n++
						for k := range sum {
							sum[k] += c[k]
						}
					}
				}
			}
			if n == 0 {
				continue
			}
			px := &s.pix[y*s.w+x]
			for k := range sum {
				px[k] = float32((float64(px[k])*(9-n) + sum[k]) / 9)
			}
		}
	}
}

// inverse returns the plane coordinates of a homography's image.
func inverse(h geometry.Homography) func(p geometry.Point) (u, v float64) {
	m := h
	inv := [9]float64{
		m[4]*m[8] - m[5]*m[7], m[2]*m[7] - m[1]*m[8], m[1]*m[5] - m[2]*m[4],
		m[5]*m[6] - m[3]*m[8], m[0]*m[8] - m[2]*m[6], m[2]*m[3] - m[0]*m[5],
		m[3]*m[7] - m[4]*m[6], m[1]*m[6] - m[0]*m[7], m[0]*m[4] - m[1]*m[3],
	}
	return func(p geometry.Point) (float64, float64) {
		w := inv[6]*p.X + inv[7]*p.Y + inv[8]
		return (inv[0]*p.X + inv[1]*p.Y + inv[2]) / w, (inv[3]*p.X + inv[4]*p.Y + inv[5]) / w
	}
}

// pose places a plane of the given size (width along u) around a centre: turned by angle in the
// frame, tilted away by tilt about an axis, seen from distance (in widths).
func pose(centre geometry.Point, width, height, angle, tilt, axis, distance float64) geometry.Quad {
	var q geometry.Quad
	for i, c := range []geometry.Point{{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}} {
		x, y := c.X*width, c.Y*height
		// tilt about the axis: the part across it is foreshortened and goes into depth
		ca, sa := math.Cos(axis), math.Sin(axis)
		along, across := x*ca+y*sa, -x*sa+y*ca
		depth := across * math.Sin(tilt)
		across *= math.Cos(tilt)
		k := distance * width / (distance*width + depth)
		x, y = (along*ca-across*sa)*k, (along*sa+across*ca)*k
		q[i] = geometry.Point{centre.X + x*math.Cos(angle) - y*math.Sin(angle), centre.Y + x*math.Sin(angle) + y*math.Cos(angle)}
	}
	return q
}

// chartGeometry, in units of the patch layout: patch 2.5, pitch 2.75, margin 0.25, body 16.75 x
// 11.25 (OpenCV contrib, module mcc, classic model).
const (
	bodyWidth, bodyHeight = 16.75, 11.25
	patchSide, patchPitch = 2.5, 2.75
)

// addChart paints a chart whose body fills the quad and returns the homography of patch centres.
func (s *scene) addChart(q geometry.Quad, e Edition, mirrored bool, glare func(u, v float64) float64) geometry.Homography {
	body, _ := geometry.FitHomography([]geometry.Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, q[:])
	back := inverse(body)
	s.paint(q, func(p geometry.Point) ([3]float64, bool) {
		u, v := back(p)
		if u < 0 || u > 1 || v < 0 || v > 1 {
			return [3]float64{}, false
		}
		if mirrored {
			u = 1 - u
		}
		c := chartColour(e, u*bodyWidth, v*bodyHeight)
		g := glare(u, v)
		for k := range c {
			c[k] += g
		}
		return c, true
	})
	// centres: u = 0..5 at margin + patch/2 + pitch u
	var from, to []geometry.Point
	for _, g := range []geometry.Point{{0, 0}, {5, 0}, {5, 3}, {0, 3}} {
		from = append(from, g)
		x, y := 0.25+patchSide/2+patchPitch*g.X, 0.25+patchSide/2+patchPitch*g.Y
		to = append(to, body.At(x/bodyWidth, y/bodyHeight))
	}
	h, _ := geometry.FitHomography(from, to)
	return h
}

func chartColour(e Edition, x, y float64) [3]float64 {
	i, j := math.Floor((x-0.25)/patchPitch), math.Floor((y-0.25)/patchPitch)
	if x < 0.25 || y < 0.25 || x-0.25-i*patchPitch > patchSide || y-0.25-j*patchPitch > patchSide || i > 5 || j > 3 {
		return [3]float64{0.03, 0.03, 0.03}
	}
	n := int(j)*6 + int(i)
	if n >= firstNeutral {
		l := e.Luminance(n)
		return [3]float64{l, l, l}
	}
	return e.reference(n)
}

// toBT2020 takes linear BT.709 to linear BT.2020 (Report ITU-R BT.2087-0, annex 1).
var toBT2020 = [3][3]float64{
	{0.6274, 0.3293, 0.0433}, {0.0691, 0.9195, 0.0114}, {0.0164, 0.0880, 0.8956},
}

// signals returns R', G', B' codes of every pixel after light, exposure, lens and noise.
func (s *scene) signals(r curve.Reading) [][3]float32 {
	lin := make([][3]float32, len(s.pix))
	gain := [3]float64{}
	for k := range gain {
		gain[k] = math.Exp2(s.stops + s.balance[k])
	}
	for y := range s.h {
		for x := range s.w {
			i := y*s.w + x
			l := s.light(float64(x)+0.5, float64(y)+0.5)
			p := s.pix[i]
			if s.wide {
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
	lin = blur(lin, s.w, s.h, s.blurPx)
	s.addNoise(lin)
	top := r.Table()
	clip := float32(top[len(top)-1])
	for i := range lin {
		for k := range lin[i] {
			lin[i][k] = float32(r.CodeOf(float64(min(lin[i][k], clip))))
		}
	}
	return lin
}

// addNoise: variance = read^2 + shot L, from the SNR at grey and the floor.
func (s *scene) addNoise(lin [][3]float32) {
	floor := curve.FromStops(s.floorStops)
	// SNR(0.18) = greySNR and SNR(floor) = 1 give two equations for read^2 and shot
	a := 0.18 * 0.18 / (s.greySNR * s.greySNR)
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

// frame records the scene as Y'CbCr 4:2:0 (or 4:2:2).
func (s *scene) frame(r curve.Reading, m curve.Matrix, subY int) *decode.Frame {
	sig := s.signals(r)
	c := r.Chroma(m)
	top := float64(int(1)<<r.Bits - 1)
	round := func(v float64) uint16 { return uint16(math.Min(math.Max(math.Round(v), 0), top)) }
	f := &decode.Frame{Layout: decode.YCbCr, Bits: r.Bits}
	cw, ch := s.w/2, s.h/subY
	f.Planes[0] = plane(s.w, s.h)
	f.Planes[1], f.Planes[2] = plane(cw, ch), plane(cw, ch)
	u, v := make([]float64, cw*ch), make([]float64, cw*ch)
	for y := range s.h {
		for x := range s.w {
			p := sig[y*s.w+x]
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

// plane returns an empty plane whose padding is poisoned with the top code.
func plane(w, h int) decode.Plane {
	p := decode.Plane{Stride: w + 8, Width: w, Height: h, Samples: make([]uint16, (w+8)*h)}
	for i := range p.Samples {
		p.Samples[i] = 65535
	}
	return p
}
