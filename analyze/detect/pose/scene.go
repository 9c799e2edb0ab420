package pose

import (
	"math"
	"math/rand/v2"

	"stopledger/analyze/detect"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Scene is rendered in scene-linear light, as a camera with noise would record it. It shares
// nothing with the code it tests but the published patch values.
type Scene struct {
	W, H       int                        // size, pixels
	Pix        [][3]float32               // reflectance x light before exposure, row by row
	Light      func(x, y float64) float64 // factor of the light at a place
	Stops      curve.Stops                // exposure: 0 records 18 % at 0.18
	Balance    [3]curve.Stops             // of the camera's R, G, B for a neutral
	Wide       bool                       // record BT.2020 instead of BT.709 primaries
	BlurPx     float64                    // standard deviation of the lens's blur, pixels
	GreySNR    curve.Ratio                // of one channel at 18 % recorded
	FloorStops curve.Stops                // recorded, where SNR is 1
	rng        *rand.Rand
}

// NewScene returns a black scene in even light; all that is random in it comes from the seed.
func NewScene(w, h int, seed uint64) *Scene {
	return &Scene{W: w, H: h, Pix: make([][3]float32, w*h), Light: func(x, y float64) float64 { return 1 },
		BlurPx: 0.6, GreySNR: 100, FloorStops: -8, rng: rand.New(rand.NewPCG(seed, 42))}
}

func (s *Scene) between(a, b float64) float64 { return a + (b-a)*s.rng.Float64() }

// Paint draws over the bounds of where with 3x3 samples a pixel; ink returns the colour and
// whether anything is there.
func (s *Scene) Paint(b geometry.Quad, ink func(p geometry.Point) ([3]float64, bool)) {
	r := b.Bounds()
	for y := max(r.Min.Y, 0); y < min(r.Max.Y, s.H); y++ {
		for x := max(r.Min.X, 0); x < min(r.Max.X, s.W); x++ {
			var sum [3]float64
			n := 0.0
			for j := range 3 {
				for i := range 3 {
					p := geometry.Pt(float64(x)+(float64(i)+0.5)/3, float64(y)+(float64(j)+0.5)/3)
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
			px := &s.Pix[y*s.W+x]
			for k := range sum {
				px[k] = float32((float64(px[k])*(9-n) + sum[k]) / 9)
			}
		}
	}
}

// Place places a plane of the given size (width along u) around a centre: turned by angle in the
// frame, tilted away by tilt about an axis, seen from distance (in widths).
func Place(centre geometry.Point, width, height, angle, tilt, axis, distance float64) geometry.Quad {
	var q geometry.Quad
	for i, c := range []geometry.Point{{X: -0.5, Y: -0.5}, {X: 0.5, Y: -0.5}, {X: 0.5, Y: 0.5}, {X: -0.5, Y: 0.5}} {
		x, y := c.X*width, c.Y*height
		// tilt about the axis: the part across it is foreshortened and goes into depth
		ca, sa := math.Cos(axis), math.Sin(axis)
		along, across := x*ca+y*sa, -x*sa+y*ca
		depth := across * math.Sin(tilt)
		across *= math.Cos(tilt)
		k := distance * width / (distance*width + depth)
		x, y = (along*ca-across*sa)*k, (along*sa+across*ca)*k
		q[i] = geometry.Pt(centre.X+x*math.Cos(angle)-y*math.Sin(angle), centre.Y+x*math.Sin(angle)+y*math.Cos(angle))
	}
	return q
}

// chartGeometry, in units of the patch layout: patch 2.5, pitch 2.75, margin 0.25, body 16.75 x
// 11.25 (OpenCV contrib, module mcc, classic model).
const (
	BodyWidth, BodyHeight = 16.75, 11.25
	patchSide, patchPitch = 2.5, 2.75
)

// A Glare tells the light that a reflection adds at a place of the chart's body, 0..1 both ways.
type Glare func(u, v float64) float64

// AddChart paints a chart whose body fills the quad and returns the homography of patch centres.
func (s *Scene) AddChart(q geometry.Quad, e detect.Edition, mirrored bool, glare Glare) geometry.Homography {
	body, _ := geometry.FitHomography([]geometry.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}}, q[:])
	inverse := body.Inverse()
	s.Paint(q, func(p geometry.Point) ([3]float64, bool) {
		at := inverse.At(p.X, p.Y)
		u, v := at.X, at.Y
		if u < 0 || u > 1 || v < 0 || v > 1 {
			return [3]float64{}, false
		}
		if mirrored {
			u = 1 - u
		}
		c := chartColour(e, u*BodyWidth, v*BodyHeight)
		g := glare(u, v)
		for k := range c {
			c[k] += g
		}
		return c, true
	})
	// centres: u = 0..5 at margin + patch/2 + pitch u
	var from, to []geometry.Point
	for _, g := range []geometry.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 3}, {X: 0, Y: 3}} {
		from = append(from, g)
		x, y := 0.25+patchSide/2+patchPitch*g.X, 0.25+patchSide/2+patchPitch*g.Y
		to = append(to, body.At(x/BodyWidth, y/BodyHeight))
	}
	h, _ := geometry.FitHomography(from, to)
	return h
}

func chartColour(e detect.Edition, x, y float64) [3]float64 {
	i, j := math.Floor((x-0.25)/patchPitch), math.Floor((y-0.25)/patchPitch)
	if x < 0.25 || y < 0.25 || x-0.25-i*patchPitch > patchSide || y-0.25-j*patchPitch > patchSide || i > 5 || j > 3 {
		return [3]float64{0.03, 0.03, 0.03}
	}
	n := int(j)*6 + int(i)
	if n >= 18 {
		l := e.Luminance(n)
		return [3]float64{l, l, l}
	}
	return e.Reference(n)
}
