package synth

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// Light is scene-linear light of R, G and B: 0.18 in each is mid grey as a meter places it, 1 a
// perfect white diffuser in the same light.
type Light [3]float32

// Grey returns neutral light.
func Grey(l curve.Light) Light { v := float32(l); return Light{v, v, v} }

// Times returns l scaled by k.
func (l Light) Times(k float64) Light {
	return Light{l[0] * float32(k), l[1] * float32(k), l[2] * float32(k)}
}

// Mix returns the light between a (share 0) and b (share 1).
func Mix(a, b Light, share float32) Light {
	return Light{a[0] + (b[0]-a[0])*share, a[1] + (b[1]-a[1])*share, a[2] + (b[2]-a[2])*share}
}

// A Row is a horizontal run of scene samples that parts paint in turn, back to front. Scene
// coordinates are in pixels of a camera that does not pan: (0.5, 0.5) is the centre of the top
// left pixel, y grows downwards. The scene has no edge.
type Row struct {
	X, Y    float64   // centre of the first sample; the others follow one pixel apart
	T       float64   // seconds from the start of the shot
	R, G, B []float32 // light, equally long
}

// Len returns the number of samples.
func (r Row) Len() int { return len(r.R) }

// span returns the indices of the samples whose centres lie in x0 <= x <= x1.
func (r Row) span(x0, x1 float64) (from, to int) {
	from, to = int(math.Ceil(x0-r.X)), int(math.Floor(x1-r.X))+1
	return max(from, 0), min(to, r.Len())
}

// blend paints light over sample i with the given coverage.
func (r Row) blend(i int, l Light, cover float32) {
	if cover >= 1 {
		r.R[i], r.G[i], r.B[i] = l[0], l[1], l[2]
		return
	}
	r.R[i] += (l[0] - r.R[i]) * cover
	r.G[i] += (l[1] - r.G[i]) * cover
	r.B[i] += (l[2] - r.B[i]) * cover
}

// A Part is one thing in a scene. Paint puts its light over what is in the row already.
type Part interface {
	Paint(Row)
}

// A Scene is what stands before the camera: parts, back to front.
type Scene struct {
	Name  string // for people
	Parts []Part // painted in this order
}

// Marks returns the places in the scene whose reflectance is known, in painting order.
func (s Scene) Marks() []Mark {
	var marks []Mark
	for _, p := range s.Parts {
		if m, ok := p.(marked); ok {
			marks = append(marks, m.marks()...)
		}
	}
	return marks
}

// Paint paints all parts.
func (s Scene) Paint(r Row) {
	for _, p := range s.Parts {
		p.Paint(r)
	}
}

// A Mark is a place of known reflectance: a card, a patch of the chart, a tile of the wedge.
type Mark struct {
	Kind        MarkKind      // card, patch ...
	Name        string        // "card", "white 9.5", "-3 stops"
	Quad        geometry.Quad // corners in the scene at time 0
	Reflectance curve.Light   // luminous, before the shot's exposure and gradients
	Neutral     bool          // R, G and B alike
	Path        Path          // how it moves, nil if it does not
}

// A MarkKind says what a mark is.
type MarkKind string

// Kinds of marks.
const (
	MarkCard  MarkKind = "card"
	MarkCloth MarkKind = "cloth"
	MarkChart MarkKind = "chart" // the whole body of a chart; reflectance 0, meaning various
	MarkPatch MarkKind = "patch"
	MarkTile  MarkKind = "tile"
)

type marked interface{ marks() []Mark }

// A Path gives the displacement in pixels at t seconds.
type Path func(t float64) (dx, dy float64)

// still is implemented by parts that can tell whether they look the same at all times.
type still interface{ still() bool }

func isStill(p Part) bool {
	s, ok := p.(still)
	return !ok || s.still()
}
