package synth

import "math"

// A Sky is a field of light from the horizon up, with clouds. Painted everywhere: what is below
// the horizon is for others to cover.
type Sky struct {
	HorizonY, ZenithY float64 // pixels
	Horizon, Zenith   Light   // between them it changes with the root of the height
	Clouds            float64 // 0 none .. 1 heavy
	CloudPixels       float64 // size of the largest
	Seed              uint64  // of the clouds
}

// Paint implements Part.
func (s Sky) Paint(r Row) {
	h := (r.Y - s.HorizonY) / (s.ZenithY - s.HorizonY)
	h = min(max(h, 0), 1)
	base := Mix(s.Horizon, s.Zenith, float32(math.Sqrt(h)))
	if s.Clouds == 0 || s.CloudPixels == 0 {
		for i := range r.R {
			r.R[i], r.G[i], r.B[i] = base[0], base[1], base[2]
		}
		return
	}
	// Clouds flatten towards the horizon.
	t := Texture{CellX: s.CloudPixels, CellY: s.CloudPixels * (0.15 + 0.35*h), Octaves: 5, Contrast: 1, Seed: s.Seed}
	relief := t.row(r.Len(), r.X, r.Y, 1, 1)
	white := s.Horizon[1] * 1.6
	for i, n := range relief {
		c := min(max((n-1.05)*1.8*float32(s.Clouds)+0.25*float32(s.Clouds), 0), 0.9)
		l := Mix(base, Light{white, white, white}, c)
		r.R[i], r.G[i], r.B[i] = l[0], l[1], l[2]
	}
}

// A Ground is a level plane seen from above, from the horizon down to the bottom: planks,
// cobbles, water. It covers whole rows.
type Ground struct {
	HorizonY float64 // pixels
	CentreX  float64 // where lines away from the eye meet the horizon
	Light    Light   // near by
	Far      Light   // at the horizon, zero meaning as near
	// NearY is the row where the texture's pixels are pixels of the frame.
	NearY   float64
	Texture Texture // of the plane
	Speed   float64 // texture cells a second that it moves and changes: water
	Shine   float64 // share of bright crests, 0..1
}

func (g Ground) still() bool { return g.Speed == 0 }

// Paint implements Part.
func (g Ground) Paint(r Row) {
	below := r.Y - g.HorizonY
	cover := min(max(below+0.5, 0), 1)
	if cover == 0 {
		return
	}
	near := g.NearY - g.HorizonY
	scale := near / max(below, 0.5) // texture pixels a pixel
	base := g.Light
	if g.Far != (Light{}) {
		base = Mix(g.Light, g.Far, float32(math.Exp(-4*below/near)))
	}
	depth := near * scale // texture rows from the eye, falling as y grows
	x, y := (r.X-g.CentreX)*scale+g.Speed*r.T*g.Texture.CellX*0.3, depth+g.Speed*r.T*g.Texture.CellY
	relief := g.Texture.row(r.Len(), x, y, scale, scale*scale)
	for i, n := range relief {
		v := max(n, 0)
		if g.Shine > 0 {
			if crest := n - float32(1+g.Texture.Contrast*(1-g.Shine)); crest > 0 {
				v += crest * 8
			}
		}
		r.blend(i, Light{base[0] * v, base[1] * v, base[2] * v}, float32(cover))
	}
}

// ridges are three ranges of hills, the farther the paler, up from a base line.
type ridges struct {
	baseY, height float64
	near, far     Light
	cell          float64 // pixels of the longest slope
	seed          uint64
}

// Paint implements Part.
func (g ridges) Paint(r Row) {
	if r.Y > g.baseY+1 || r.Y < g.baseY-1.6*g.height {
		return
	}
	for k := range 3 {
		share := float32(k) / 2
		light := Mix(g.far, g.near, share)
		top := g.height * (1 - 0.3*float64(k))
		t := Texture{CellX: g.cell * (1 - 0.25*float64(k)), CellY: 1, Octaves: 6, Contrast: 1, Seed: g.seed + uint64(k)}
		outline := t.row(r.Len(), r.X, float64(k), 1, 0)
		for i, n := range outline {
			crest := g.baseY - top*(0.35+0.5*float64(n))
			cover := min(max(r.Y-crest+0.5, 0), 1) * min(max(g.baseY-r.Y+0.5, 0), 1)
			if cover > 0 {
				r.blend(i, light, float32(cover))
			}
		}
	}
}
