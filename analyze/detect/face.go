package detect

import (
	"cmp"
	_ "embed"
	"image"
	"math"
	"slices"
	"sync"

	pigo "github.com/esimov/pigo/core"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// SkinExpectation says what a face is worth as a reference. Common practice, no source.
const SkinExpectation = "skin is not grey: light skin lies about 1 stop over 18 %, medium 0 to 0.7 over, " +
	"dark 0.5 to 1.5 under"

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

// readFaces searches an upright picture of the frame for upright faces.
func (s *scan) readFaces() (found []Face) {
	finder, err := cascade()
	if err != nil {
		return nil // the embedded file is tested
	}
	p := &s.p.Face
	l := s.levels[0]
	for _, next := range s.levels[1:] {
		if max(l.W, l.H) > p.ImageSide {
			l = next
		}
	}
	r := newUpright(l, s.tones, s.opt.RotationDeg)
	seen := finder.RunCascade(pigo.CascadeParams{
		MinSize: max(p.LeastPx, int(p.LeastShare*float64(min(r.w, r.h)))), MaxSize: min(r.w, r.h),
		ShiftFactor: p.Shift, ScaleFactor: p.Growth,
		ImageParams: pigo.ImageParams{Pixels: r.pix, Rows: r.h, Cols: r.w, Dim: r.w},
	}, 0)
	for _, d := range finder.ClusterDetections(seen, p.Overlap) {
		if f := s.readFace(r, d); !s.opt.doubtful(f.Confidence) {
			found = append(found, f)
		}
	}
	slices.SortStableFunc(found, func(a, b Face) int { return cmp.Compare(b.Confidence, a.Confidence) })
	return found
}

func (s *scan) readFace(r *upright, d pigo.Detection) Face {
	p, t := &s.p.Face, s.meter
	f := Face{Score: curve.Ratio(d.Q)}
	x, y, size := float64(d.Col), float64(d.Row), float64(d.Scale)
	part := func(left, top, right, bottom float64) (q geometry.Quad) {
		for i, c := range [4][2]float64{{left, top}, {right, top}, {right, bottom}, {left, bottom}} {
			q[i] = r.frame(geometry.Pt(x+c[0]*size, y+c[1]*size))
		}
		return q
	}
	f.Corners = part(-0.5, -0.5, 0.5, 0.5)
	skin := part(p.Skin[0], p.Skin[1], p.Skin[2], p.Skin[3])
	f.Region = skin.Bounds().Intersect(image.Rect(0, 0, t.frame.Planes[0].Width, t.frame.Planes[0].Height))
	f.Light = t.over(skin)
	f.Light.Luma = t.medianOver(skin)
	f.Stops = f.Light.Stops()
	f.Error = curve.Stops(p.Spread)
	f.Confidence = curve.Ratio(p.Score.of(float64(f.Score)) * p.skin(f.Light.tone(s.p.Flat.DeepestTone)))
	return f
}

// skin is 1 for the hues of skin.
func (p *FaceParams) skin(t pyramid.Tone) float64 {
	rg, gb := t.R-t.G, t.G-t.B
	return p.RedLow.of(rg) * p.RedHigh.of(rg) * p.BlueLow.of(gb) * p.BlueHigh.of(gb)
}

// medianOver returns the median light of the luma samples in a quad; unknown without any.
func (t *meter) medianOver(q geometry.Quad) curve.Light {
	var codes []float64
	t.each(q, func(x, y int) {
		luma, _ := t.codes(x, y)
		codes = append(codes, luma)
	})
	if len(codes) == 0 {
		return curve.Light(math.NaN())
	}
	return curve.Light(t.linear(robust.Median(codes)))
}
