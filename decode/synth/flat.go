package synth

import (
	"fmt"

	"stopledger/curve"
)

// Fill is the same light everywhere.
type Fill struct{ Light Light }

// Paint implements Part.
func (f Fill) Paint(r Row) {
	for i := range r.R {
		r.R[i], r.G[i], r.B[i] = f.Light[0], f.Light[1], f.Light[2]
	}
}

// Patches are flat quads of one light each, their edges antialiased.
type Patches struct {
	patches []patch
	known   []Mark
}

type patch struct {
	light          Light
	edges          edges
	soft           float64
	x0, y0, x1, y1 float64
}

// NewPanel returns one flat quad. Its edges are blurred over soft pixels; 1 is a sharp edge.
func NewPanel(q Quad, l Light, soft float64) *Patches {
	p := &Patches{}
	p.add(q, l, max(soft, 1))
	return p
}

// NewCard returns a grey card of a reflectance (0.18) held anywhere.
func NewCard(q Quad, reflectance curve.Light) *Patches {
	p := &Patches{}
	p.addKnown(Mark{Kind: MarkCard, Name: "card", Quad: q, Reflectance: reflectance, Neutral: true}, Grey(reflectance))
	return p
}

// NewCloths returns dark cloths side by side, for the shadows: black velvet is near 0.1 %.
func NewCloths(q Quad, reflectances ...curve.Light) *Patches {
	p := &Patches{}
	n := float64(len(reflectances))
	for i, y := range reflectances {
		u := float64(i)
		p.addKnown(Mark{
			Kind: MarkCloth, Name: fmt.Sprintf("%.3g %%", 100*float64(y)), Reflectance: y, Neutral: true,
			Quad: q.Sub(u/n, 0, (u+1)/n, 1),
		}, Grey(y))
	}
	return p
}

// NewWedge returns a tone wedge on a black ground: flat neutral tiles in reading order, around
// 18 % in stops from low to high, step apart, with gap pixels between them.
func NewWedge(q Quad, columns int, low, high, step curve.Stops, gap float64) *Patches {
	p := &Patches{}
	p.add(q, Grey(0.001), 1)
	n := int((high-low)/step+1e-9) + 1
	rows := (n + columns - 1) / columns
	x0, y0, x1, y1 := q.Bounds()
	gu, gv := gap/2/(x1-x0), gap/2/(y1-y0)
	for i := range n {
		u, v := float64(i%columns)/float64(columns), float64(i/columns)/float64(rows)
		s := low + curve.Stops(i)*step
		p.addKnown(Mark{
			Kind: MarkTile, Name: stopsName(s), Reflectance: s.Light(), Neutral: true,
			Quad: q.Sub(u+gu, v+gv, u+1/float64(columns)-gu, v+1/float64(rows)-gv),
		}, Grey(s.Light()))
	}
	return p
}

func stopsName(s curve.Stops) string { return fmt.Sprintf("%+.4g stops", float64(s)) }

func (p *Patches) addKnown(m Mark, l Light) {
	p.known = append(p.known, m)
	p.add(m.Quad, l, 1)
}

func (p *Patches) add(q Quad, l Light, soft float64) {
	x0, y0, x1, y1 := q.Bounds()
	p.patches = append(p.patches, patch{
		light: l, edges: newEdges(q), soft: soft,
		x0: x0 - soft, y0: y0 - soft, x1: x1 + soft, y1: y1 + soft,
	})
}

// Paint implements Part.
func (p *Patches) Paint(r Row) {
	for i := range p.patches {
		p.patches[i].paint(r)
	}
}

func (p *Patches) marks() []Mark { return p.known }

func (p *patch) paint(r Row) {
	if r.Y < p.y0 || r.Y > p.y1 {
		return
	}
	from, to := r.span(p.x0, p.x1)
	for i := from; i < to; i++ {
		if c := p.edges.cover(r.X+float64(i), r.Y, p.soft); c > 0 {
			r.blend(i, p.light, float32(c))
		}
	}
}
