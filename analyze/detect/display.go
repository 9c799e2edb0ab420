package detect

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A rendering is 8-bit luma as a display would show the scene, upright, for the face search: light is
// scaled so that the frame's log-average shows as 18 %, bent by a shoulder above 60 %, and
// encoded by the inverse of the BT.1886 display (gamma 2.4, zero black).
type rendering struct {
	w, h     int
	pix      []uint8
	scale    float64 // frame pixels to one of the rendering
	rotation int     // clockwise degrees from frame to rendering
	fw, fh   int     // the level's size before rotation
}

const (
	displayGamma = 2.4 // Recommendation ITU-R BT.1886 (2011), annex 1
	displayKnee  = 0.6 // common practice, no source
)

// render draws a level turned clockwise by 0, 90, 180 or 270 degrees.
func render(l *level, tones toneTable, rotation int) *rendering {
	r := &rendering{w: l.w, h: l.h, scale: l.scale, rotation: ((rotation%360 + 360) % 360) / 90 * 90, fw: l.w, fh: l.h}
	if r.rotation%180 == 90 {
		r.w, r.h = l.h, l.w
	}
	shown := displayTable(tones, logAverage(l, tones))
	r.pix = make([]uint8, r.w*r.h)
	for y := range l.h {
		for x := range l.w {
			i, j := r.upright(x, y)
			r.pix[j*r.w+i] = shown[min(max(int(l.y[y*l.w+x]), 0), len(shown)-1)]
		}
	}
	return r
}

// upright takes a pixel of the level to the rendering.
func (r *rendering) upright(x, y int) (i, j int) {
	switch r.rotation {
	case 90:
		return r.fh - 1 - y, x
	case 180:
		return r.fw - 1 - x, r.fh - 1 - y
	case 270:
		return y, r.fw - 1 - x
	}
	return x, y
}

// frame takes a place in the rendering to frame pixels.
func (r *rendering) frame(p geometry.Point) geometry.Point {
	w, h := float64(r.fw), float64(r.fh)
	switch r.rotation {
	case 90:
		p = geometry.Pt(p.Y, h-p.X)
	case 180:
		p = geometry.Pt(w-p.X, h-p.Y)
	case 270:
		p = geometry.Pt(w-p.Y, p.X)
	}
	return p.Scale(r.scale)
}

// logAverage returns the mean of a level's recorded stops.
func logAverage(l *level, tones toneTable) float64 {
	stops := make([]float64, 0, len(l.y)/7+1)
	for i := 0; i < len(l.y); i += 7 {
		stops = append(stops, tones.at(float64(l.y[i])))
	}
	return stat.Mean(stops, nil)
}

// displayTable gives the display's code for each value of a level's scale.
func displayTable(tones toneTable, middle float64) []uint8 {
	t := make([]uint8, len(tones))
	for i, s := range tones {
		light := float64(curve.Stops(float64(s) - middle).Light())
		if light > displayKnee {
			light = displayKnee + (1-displayKnee)*(1-math.Exp(-(light-displayKnee)/(1-displayKnee)))
		}
		t[i] = uint8(math.Round(255 * math.Pow(light, 1/displayGamma)))
	}
	return t
}
