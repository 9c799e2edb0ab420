package synth

import "stopledger/decode/geometry"

// Wheelhouse is the ferry's bridge by day: panelling, a dark console with gauges, a grey card
// held at an angle, a small window with the harbour about five stops over grey, a jacket in
// the shadow.
func Wheelhouse(width, height int) Scene {
	s := newStage(width, height)
	oak := Light{0.21, 0.155, 0.105}
	parts := []Part{
		NewSurface(s.rect(-1, -1, 3, 3), oak, Texture{CellX: 0.9 * s.h, CellY: 0.012 * s.h, Octaves: 3, Contrast: 0.3,
			Seed: 11}),
	}
	for i := range 6 { // joints of the panelling
		parts = append(parts, NewPanel(s.rect(-0.02, 0.05+0.14*float64(i), 1.04, 0.004), oak.Times(0.25), 2))
	}
	parts = append(parts, windowParts(s.rect(0.66, 0.1, 0.26, 0.34), 3.2, 1, 12)...)
	parts = append(parts,
		NewSurface(s.quad(-0.05, 0.78, 1.05, 0.72, 1.05, 1.1, -0.05, 1.1), Light{0.035, 0.037, 0.04},
			Texture{CellX: 0.3 * s.h, CellY: 0.2 * s.h, Octaves: 5, Contrast: 0.25, Seed: 13}),
	)
	for i, x := range []float64{0.62, 0.73, 0.84} { // gauges: brass ring, pale face, needle
		c := geometry.Pt(x*s.w, (0.86-0.012*float64(i))*s.h)
		parts = append(parts,
			Capsule{From: c, To: c, Radius: 0.062 * s.h, Light: Light{0.42, 0.3, 0.13}},
			Capsule{From: c, To: c, Radius: 0.052 * s.h, Light: Light{0.55, 0.54, 0.49}},
			Capsule{From: c, To: geometry.Pt(c.X+0.03*s.h, c.Y-0.025*s.h), Radius: 0.003 * s.h, Light: Grey(0.02)},
		)
	}
	return Scene{Name: "wheelhouse", Parts: append(parts,
		NewCloths(s.rect(0.04, 0.2, 0.14, 0.5), 0.02, 0.01, 0.005, 0.001),
		NewCard(s.quad(0.3, 0.3, 0.475, 0.325, 0.465, 0.63, 0.295, 0.6), 0.18),
		Lamp{X: 0.745 * s.w, Y: 0.79 * s.h, Radius: 0.004 * s.h, Light: Light{9, 1.2, 0.6}, Halo: 0.08},
	)}
}

// windowParts are a window with sky and sea behind it and two bars: sky is the light at the
// horizon.
func windowParts(q geometry.Quad, sky float64, bars int, seed uint64) []Part {
	from, to := q.Extent()
	w, h := to.X-from.X, to.Y-from.Y
	parts := []Part{
		NewPanel(geometry.Upright(from.X-0.03*w, from.Y-0.04*h, 1.06*w, 1.08*h), Light{0.5, 0.5, 0.46}, 1),
		NewSurface(q, Light{0.95, 1, 1.06}.Times(sky*1.5),
			Texture{CellX: w * 0.6, CellY: h * 0.3, Octaves: 4, Contrast: 0.35, Seed: seed}),
		NewSurface(q.Part(0, 0.62, 1, 1), Light{0.8, 0.95, 1.05}.Times(sky*0.45),
			Texture{CellX: w * 0.3, CellY: h * 0.02, Octaves: 3, Contrast: 0.4, Seed: seed + 1}),
		NewPanel(q.Part(0, 0.55, 0.45, 0.625), Light{0.4, 0.5, 0.55}.Times(sky*0.2), 2),
	}
	for i := range bars {
		u := float64(i+1) / float64(bars+1)
		parts = append(parts, NewPanel(q.Part(u-0.015, 0, u+0.015, 1), Light{0.3, 0.3, 0.28}, 1))
	}
	return parts
}

// MessRoomWindow is a dim mess room against its window: the room around 18 % and below, the
// window about seven stops over grey. The card hangs on the wall beside it.
func MessRoomWindow(width, height int) Scene {
	s := newStage(width, height)
	wall := Light{0.16, 0.165, 0.15}
	parts := []Part{
		NewSurface(s.rect(-1, -1, 3, 3), wall, Texture{CellX: 0.5 * s.h, CellY: 0.5 * s.h, Octaves: 6, Contrast: 0.12,
			Seed: 21}),
		NewPanel(s.rect(-0.02, 0.58, 1.04, 0.012), wall.Times(0.35), 2),
	}
	parts = append(parts, windowParts(s.rect(0.4, 0.12, 0.34, 0.42), 14, 2, 22)...)
	table := s.quad(0.1, 0.78, 0.9, 0.78, 1.1, 1.1, -0.1, 1.1)
	parts = append(parts,
		NewSurface(s.rect(-0.02, 0.592, 1.04, 0.5), wall.Times(0.4),
			Texture{CellX: 0.4 * s.h, CellY: 0.1 * s.h, Octaves: 5, Contrast: 0.2, Seed: 23}),
		NewSurface(table, Light{0.1, 0.07, 0.045},
			Texture{CellX: 0.8 * s.h, CellY: 0.02 * s.h, Octaves: 4, Contrast: 0.35, Seed: 24}),
		NewPanel(s.quad(0.43, 0.8, 0.71, 0.8, 0.76, 1, 0.4, 1), Light{0.24, 0.21, 0.17}, 0.1*s.h), // the window on the table
		Capsule{From: s.at(0.28, 0.8), To: s.at(0.28, 0.86), Radius: 0.03 * s.h, Light: Light{0.55, 0.52, 0.46}},
		NewCard(s.rect(0.14, 0.25, 0.14, 0.25), 0.18),
		NewCloths(s.rect(0.8, 0.2, 0.12, 0.34), 0.03, 0.008, 0.002),
	)
	return Scene{Name: "mess room window", Parts: append(parts,
		Pool{X: 0.57 * s.w, Y: 0.35 * s.h, RadiusX: 0.22 * s.w, RadiusY: 0.35 * s.h, Gain: 0.35},
	)}
}

// ChartTable is the mess table from above, lit from one side: the 24-patch chart and a grey
// card lie in perspective, black velvet next to them.
func ChartTable(width, height int) Scene {
	s := newStage(width, height)
	return Scene{Name: "chart table", Parts: []Part{
		NewSurface(s.rect(-1, -1, 3, 3), Light{0.2, 0.13, 0.08},
			Texture{CellX: 1.4 * s.h, CellY: 0.03 * s.h, Octaves: 5, Contrast: 0.4, Seed: 31}),
		NewPanel(s.quad(-0.1, 0.02, 1.1, -0.06, 1.1, -0.3, -0.1, -0.3), Light{0.02, 0.022, 0.024}, 4),
		NewPanel(s.quad(0.205, 0.2, 0.655, 0.165, 0.715, 0.85, 0.165, 0.83), Light{0.05, 0.032, 0.02}, 0.02*s.h), // shadow
		NewChart(s.quad(0.2, 0.18, 0.65, 0.15, 0.7, 0.82, 0.16, 0.8)),
		NewCard(s.quad(0.73, 0.2, 0.9, 0.19, 0.93, 0.48, 0.75, 0.5), 0.18),
		NewCloths(s.quad(0.755, 0.56, 0.94, 0.55, 0.98, 0.8, 0.775, 0.82), 0.01, 0.003, 0.001),
		Capsule{From: s.at(0.06, 0.35), To: s.at(0.06, 0.35), Radius: 0.085 * s.h, Light: Light{0.5, 0.47, 0.4}},
		Capsule{From: s.at(0.06, 0.35), To: s.at(0.06, 0.35), Radius: 0.068 * s.h,
			Light: Light{0.012, 0.008, 0.005}}, // coffee
	}}
}

// Bulkhead is a plain painted steel wall with a seam and rivets, a little darker towards the
// deck: nothing to place exposure by but the wall.
func Bulkhead(width, height int) Scene {
	s := newStage(width, height)
	paint := Light{0.34, 0.37, 0.36}
	parts := []Part{
		NewSurface(s.rect(-1, -1, 3, 3), paint, Texture{CellX: 0.7 * s.h, CellY: 0.5 * s.h, Octaves: 6, Contrast: 0.1,
			Seed: 51}),
		NewPanel(s.rect(0.62, -0.1, 0.004, 1.2), paint.Times(0.5), 3),
	}
	for i := range 9 {
		c := s.at(0.635, 0.06+0.11*float64(i))
		parts = append(parts,
			Capsule{From: geometry.Pt(c.X+2, c.Y+2), To: geometry.Pt(c.X+2, c.Y+2), Radius: 0.009 * s.h,
				Light: paint.Times(0.6), Soft: 4},
			Capsule{From: c, To: c, Radius: 0.008 * s.h, Light: paint.Times(1.12), Soft: 2},
		)
	}
	return Scene{Name: "bulkhead", Parts: parts}
}
