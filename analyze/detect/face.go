package detect

import (
	"cmp"
	_ "embed"
	"image"
	"math"
	"slices"
	"sync"

	pigo "github.com/esimov/pigo/core"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// SkinExpectation says what a face is worth as a reference. Common practice, no source.
const SkinExpectation = "skin is not grey: light skin lies about 1 stop over 18 %, medium 0 to 0.7 over, dark 0.5 to 1.5 under"

// A Face is a face as found: a weak reference, good to a stop without knowing the person. Stops is
// its skin over 18 %, not a placement.
type Face struct {
	Detection
	Light Light       // of the skin in the middle of the face; Luma is the median
	Score curve.Ratio // of the cascade, above 0
}

// facefinder is the cascade of github.com/esimov/pigo v1.4.6, MIT licence, see cascade/LICENSE.
//
//go:embed cascade/facefinder
var facefinder []byte

// cascade unpacks it once.
var cascade = sync.OnceValues(func() (*pigo.Pigo, error) { return pigo.NewPigo().Unpack(facefinder) })

const (
	faceImageSide  = 1000 // the longer side of the image searched is at most this
	leastFacePx    = 24   // in that image
	leastFaceShare = 1.0 / 18
)

// readFaces searches the display rendering for upright faces.
func readFaces(t *meter, s *search, opt Options) (found []Face) {
	finder, err := cascade()
	if err != nil {
		return nil // the embedded file is tested
	}
	l := s.levels[0]
	for _, next := range s.levels[1:] {
		if max(l.w, l.h) > faceImageSide {
			l = next
		}
	}
	r := render(l, s.tones, opt.RotationDeg)
	seen := finder.RunCascade(pigo.CascadeParams{
		MinSize: max(leastFacePx, int(leastFaceShare*float64(min(r.w, r.h)))), MaxSize: min(r.w, r.h),
		ShiftFactor: 0.1, ScaleFactor: 1.1,
		ImageParams: pigo.ImageParams{Pixels: r.pix, Rows: r.h, Cols: r.w, Dim: r.w},
	}, 0)
	for _, d := range finder.ClusterDetections(seen, 0.2) {
		if f := readFace(t, r, d); f.Confidence >= opt.Doubtful {
			found = append(found, f)
		}
	}
	slices.SortStableFunc(found, func(a, b Face) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return found
}

func readFace(t *meter, r *rendering, d pigo.Detection) Face {
	f := Face{Score: curve.Ratio(d.Q)}
	x, y, size := float64(d.Col), float64(d.Row), float64(d.Scale)
	turned := func(left, top, right, bottom float64) geometry.Quad {
		var q geometry.Quad
		for i, p := range []geometry.Point{{X: left, Y: top}, {X: right, Y: top}, {X: right, Y: bottom}, {X: left, Y: bottom}} {
			q[i] = r.frame(geometry.Pt(x+p.X*size, y+p.Y*size))
		}
		return q
	}
	f.Corners = turned(-0.5, -0.5, 0.5, 0.5)
	// nose and cheeks: below the eyes, above the mouth
	skin := turned(-0.22, -0.05, 0.22, 0.17)
	f.Region = skin.Bounds().Intersect(image.Rect(0, 0, t.frame.Planes[0].Width, t.frame.Planes[0].Height))
	f.Light = t.over(skin)
	f.Light.Luma = curve.Light(t.medianOver(skin))
	f.Stops = f.Light.Stops()
	f.Error = skinSpread
	f.Confidence = curve.Ratio(ramp(float64(f.Score), leastScore, sureScore) * skinLike(f.Light.tone()))
	return f
}

const (
	// skinSpread is how well skin is known as a reference, in stops. Common practice, no source.
	skinSpread = 0.7
	// The cascade's score, summed over a cluster of windows: pictures without faces stay below 7 in
	// our trials, the smallest face in them has 25.
	leastScore, sureScore = 5, 15
)

// skinLike is 1 for the hues of skin in a white balance that is not far off: red over green over
// blue, neither by much.
func skinLike(t tone) float64 {
	rg, gb := t.r-t.g, t.g-t.b
	return ramp(rg, -0.05, 0.1) * ramp(rg, 2, 1.5) * ramp(gb, -0.4, -0.1) * ramp(gb, 2.5, 2)
}

// medianOver returns the median light of the luma samples in a quad.
func (t *meter) medianOver(q geometry.Quad) float64 {
	p := t.frame.Planes[0]
	b := q.Bounds()
	step := max(1, int(math.Sqrt(math.Abs(q.Area())/mostPixels)))
	var codes []float64
	for y := max(b.Min.Y, 0); y < min(b.Max.Y, p.Height); y += step {
		for x := max(b.Min.X, 0); x < min(b.Max.X, p.Width); x += step {
			if q.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) {
				luma, _ := t.codes(x, y)
				codes = append(codes, luma)
			}
		}
	}
	if len(codes) == 0 {
		return math.NaN()
	}
	return t.linear(median(codes))
}
