package synth

import (
	"fmt"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// Fill is the same light everywhere.
type Fill struct {
	Light Light // everywhere
}

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
	light    Light
	edges    geometry.Edges
	soft     float64        // pixels over which the edges are blurred
	from, to geometry.Point // bounds
}

// NewPanel returns one flat quad. Its edges are blurred over soft pixels; 1 is a sharp edge.
func NewPanel(q geometry.Quad, l Light, soft float64) *Patches {
	p := &Patches{}
	p.add(q, l, max(soft, 1))
	return p
}

// NewCard returns a grey card of a reflectance (0.18) held anywhere.
func NewCard(q geometry.Quad, reflectance curve.Light) *Patches {
	p := &Patches{}
	p.addKnown(Mark{Kind: MarkCard, Name: "card", Quad: q, Reflectance: reflectance, Neutral: true}, Grey(reflectance))
	return p
}

// NewCloths returns dark cloths side by side, for the shadows: black velvet is near 0.1 %.
func NewCloths(q geometry.Quad, reflectances ...curve.Light) *Patches {
	p := &Patches{}
	n := float64(len(reflectances))
	for i, y := range reflectances {
		u := float64(i)
		p.addKnown(Mark{
			Kind: MarkCloth, Name: fmt.Sprintf("%.3g %%", 100*float64(y)), Reflectance: y, Neutral: true,
			Quad: q.Part(u/n, 0, (u+1)/n, 1),
		}, Grey(y))
	}
	return p
}

// NewWedge returns a tone wedge on a black ground: flat neutral tiles in reading order, around
// 18 % in stops from low to high, step apart, with gap pixels between them.
func NewWedge(q geometry.Quad, columns int, low, high, step curve.Stops, gap float64) *Patches {
	p := &Patches{}
	p.add(q, Grey(0.001), 1)
	n := int((high-low)/step+1e-9) + 1
	rows := (n + columns - 1) / columns
	from, to := q.Extent()
	gu, gv := gap/2/(to.X-from.X), gap/2/(to.Y-from.Y)
	for i := range n {
		u, v := float64(i%columns)/float64(columns), float64(i/columns)/float64(rows)
		s := low + curve.Stops(i)*step
		p.addKnown(Mark{
			Kind: MarkTile, Name: stopsName(s), Reflectance: s.Light(), Neutral: true,
			Quad: q.Part(u+gu, v+gv, u+1/float64(columns)-gu, v+1/float64(rows)-gv),
		}, Grey(s.Light()))
	}
	return p
}

func stopsName(s curve.Stops) string { return fmt.Sprintf("%+.4g stops", float64(s)) }

func (p *Patches) addKnown(m Mark, l Light) {
	p.known = append(p.known, m)
	p.add(m.Quad, l, 1)
}

func (p *Patches) add(q geometry.Quad, l Light, soft float64) {
	from, to := q.Extent()
	out := geometry.Point{X: soft, Y: soft}
	p.patches = append(p.patches, patch{
		light: l, edges: q.Edges(), soft: soft,
		from: from.Sub(out), to: to.Add(out),
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
	if r.Y < p.from.Y || r.Y > p.to.Y {
		return
	}
	from, to := r.span(p.from.X, p.to.X)
	for i := from; i < to; i++ {
		if c := cover(&p.edges, r.X+float64(i), r.Y, p.soft); c > 0 {
			r.blend(i, p.light, float32(c))
		}
	}
}

// cover returns the share of the pixel centred on (x, y) that lies inside, for edges blurred over
// soft pixels (1 is a sharp edge, antialiased).
func cover(e *geometry.Edges, x, y, soft float64) float64 {
	c := 1.0
	for i := range e {
		d := e[i].Distance(x, y)/soft + 0.5
		if d <= 0 {
			return 0
		}
		if d < 1 {
			c *= d
		}
	}
	return c
}
