package detect

import (
	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/display"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// An upright picture is 8-bit luma as a display would show the scene, turned upright, for the face
// search: light is scaled so that the frame's log-average shows as 18 %.
type upright struct {
	w, h     int
	pix      []uint8
	scale    float64 // frame pixels to one of the picture
	rotation int     // clockwise degrees from frame to picture
	fw, fh   int     // the level's size before rotation
}

// newUpright draws a level turned clockwise by 0, 90, 180 or 270 degrees.
func newUpright(l *pyramid.Level, tones pyramid.ToneTable, rotation int) *upright {
	r := &upright{w: l.W, h: l.H, scale: l.Scale, rotation: ((rotation%360 + 360) % 360) / 90 * 90, fw: l.W, fh: l.H}
	if r.rotation%180 == 90 {
		r.w, r.h = l.H, l.W
	}
	shown := shownCodes(tones, logAverage(l, tones))
	r.pix = make([]uint8, r.w*r.h)
	for y := range l.H {
		for x := range l.W {
			i, j := r.turned(x, y)
			r.pix[j*r.w+i] = shown[min(max(int(l.Y[y*l.W+x]), 0), len(shown)-1)]
		}
	}
	return r
}

// turned takes a pixel of the level to the picture.
func (r *upright) turned(x, y int) (i, j int) {
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

// frame takes a place in the picture to frame pixels.
func (r *upright) frame(p geometry.Point) geometry.Point {
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
func logAverage(l *pyramid.Level, tones pyramid.ToneTable) float64 {
	stops := make([]float64, 0, len(l.Y)/7+1)
	for i := 0; i < len(l.Y); i += 7 {
		stops = append(stops, tones.At(float64(l.Y[i])))
	}
	return stat.Mean(stops, nil)
}

// shownCodes gives the display's code for each code of a level.
func shownCodes(tones pyramid.ToneTable, middle float64) []uint8 {
	t := make([]uint8, len(tones.Stops))
	for i, s := range tones.Stops {
		t[i] = display.Code(curve.Stops(float64(s) - middle).Light())
	}
	return t
}
