package synth

// HarbourSky is the quay at noon under bright broken cloud: a field of sky three to five stops
// over grey, hills, water, the ferry's white side, a grey card on a bollard.
func HarbourSky(width, height int) Scene {
	s := newStage(width, height)
	return Scene{Name: "harbour sky", Parts: []Part{
		Sky{HorizonY: 0.5 * s.h, ZenithY: -0.1 * s.h, Horizon: Light{2.3, 2.5, 2.7}, Zenith: Light{0.75, 1.1, 1.7},
			Clouds: 0.9, CloudPixels: 0.9 * s.h, Seed: 61},
		hills(s, 0.5, 62),
		Ground{
			HorizonY: 0.5 * s.h, CentreX: s.w / 2, NearY: 0.78 * s.h, Light: Light{0.09, 0.14, 0.16}, Far: Light{0.7, 0.8,
				0.86}, Speed: 0.3, Shine: 0.35,
			Texture: Texture{CellX: 0.12 * s.h, CellY: 0.05 * s.h, Octaves: 4, Contrast: 0.5, Seed: 63},
		},
		NewSurface(s.quad(0.42, 0.4, 1.1, 0.36, 1.1, 0.58, 0.45, 0.565), Light{0.78, 0.79, 0.76},
			Texture{CellX: 0.4 * s.h, CellY: 0.2 * s.h, Octaves: 5, Contrast: 0.08, Seed: 64}),
		NewPanel(s.quad(0.442, 0.53, 1.1, 0.535, 1.1, 0.585, 0.45, 0.567), Light{0.26, 0.03, 0.025}, 1),
		NewSurface(s.rect(0.56, 0.25, 0.22, 0.15), Light{0.72, 0.73, 0.7},
			Texture{CellX: 0.3 * s.h, CellY: 0.2 * s.h, Octaves: 4, Contrast: 0.08, Seed: 65}),
		NewPanel(s.rect(0.575, 0.285, 0.19, 0.035), Light{0.03, 0.04, 0.045}, 1),
		Ground{HorizonY: 0.66 * s.h, CentreX: s.w / 2, NearY: s.h, Light: Light{0.19, 0.18, 0.165},
			Texture: Texture{CellX: 0.06 * s.h, CellY: 0.06 * s.h, Octaves: 5, Contrast: 0.35, Seed: 66}},
		Capsule{From: s.at(0.23, 0.72), To: s.at(0.23, 0.92), Radius: 0.045 * s.h, Light: Light{0.05, 0.05, 0.052}, Soft: 2},
		NewCard(s.quad(0.175, 0.52, 0.3, 0.53, 0.295, 0.73, 0.17, 0.72), 0.18),
		NewCloths(s.rect(0.8, 0.84, 0.14, 0.1), 0.01, 0.002),
	}}
}

// hills are three low ridges on the horizon.
func hills(s stage, horizon float64, seed uint64) Part {
	return ridges{baseY: horizon * s.h, height: 0.12 * s.h, near: Light{0.07, 0.1, 0.11}, far: Light{0.5, 0.62, 0.75},
		cell: 0.5 * s.h, seed: seed}
}

// QuayAtNight is the quay under sodium lamps: most of it three to seven stops under grey, lamps
// and their glints on wet cobbles far over the ceiling.
func QuayAtNight(width, height int) Scene {
	s := newStage(width, height)
	sodium := Light{1, 0.52, 0.14}
	parts := []Part{
		Sky{HorizonY: 0.45 * s.h, ZenithY: 0, Horizon: Light{0.006, 0.006, 0.009}, Zenith: Light{0.0012, 0.0016, 0.0032}},
		ridges{baseY: 0.45 * s.h, height: 0.1 * s.h, near: Grey(0.0008), far: Grey(0.003), cell: 0.4 * s.h, seed: 72},
		NewSurface(s.quad(-0.1, 0.12, 0.3, 0.3, 0.3, 0.5, -0.1, 0.62), Light{0.02, 0.014, 0.01},
			Texture{CellX: 0.05 * s.h, CellY: 0.025 * s.h, Octaves: 3, Contrast: 0.35, Seed: 73}),
		Ground{
			HorizonY: 0.45 * s.h, CentreX: 0.8 * s.w, NearY: s.h, Light: Light{0.012, 0.011, 0.01}, Far: Light{0.02, 0.016,
				0.012}, Shine: 0.2,
			Texture: Texture{CellX: 0.07 * s.h, CellY: 0.06 * s.h, Octaves: 4, Contrast: 0.7, Seed: 74},
		},
	}
	for i, x := range []float64{0.12, 0.36, 0.52, 0.63, 0.71} {
		depth := 1 / (1 + 0.75*float64(i))
		y := 0.45 - 0.36*depth
		parts = append(parts,
			NewPanel(s.rect(x-0.003*depth, y, 0.006*depth, 0.42*depth), Grey(0.003), 1),
			Pool{X: x * s.w, Y: (0.45 + 0.2*depth) * s.h, RadiusX: 0.16 * depth * s.w, RadiusY: 0.09 * depth * s.h,
				Gain: 14, Colour: sodium},
			NewGlints(s.rect(x-0.05*depth, 0.45+0.04*depth, 0.1*depth, 0.4*depth), int(90*depth), sodium.Times(2.5), 0,
				uint64(75+i)),
			Lamp{X: x * s.w, Y: y * s.h, Radius: 0.011 * depth * s.h, Light: sodium.Times(60), Halo: 0.01},
		)
	}
	for i, x := range []float64{0.06, 0.16} { // lit windows of the ticket office
		parts = append(parts, NewPanel(s.rect(x, 0.33+0.02*float64(i), 0.035, 0.07), Light{0.5, 0.3, 0.12}, 1.5))
	}
	return Scene{Name: "quay at night", Parts: append(parts,
		NewGlints(s.rect(0.3, 0.55, 0.7, 0.42), 120, Light{1.8, 1.5, 1}, 1.3, 79),
		Figure{X: 0.57 * s.w, Y: 0.8 * s.h, Height: 0.3 * s.h, Coat: Light{0.012, 0.01, 0.006}, Trousers: Grey(0.004),
			Skin: Light{0.02, 0.012, 0.008}},
	)}
}

// Deckhand follows a deckhand in an orange coat along the quay wall. The scene has no ends: pan
// the camera with the walk (Shot.Pan) or let it leave the frame. Frame heights a second: 0.24.
func Deckhand(width, height int) Scene {
	s := newStage(width, height)
	walk := Steadily(0.24*s.h, 0)
	return Scene{Name: "deckhand", Parts: []Part{
		Sky{HorizonY: 0.3 * s.h, ZenithY: -0.2 * s.h, Horizon: Light{1.2, 1.25, 1.3}, Zenith: Light{0.6, 0.75, 1}},
		ridges{baseY: 0.3 * s.h, height: 0.14 * s.h, near: Light{0.06, 0.08, 0.07}, far: Light{0.35, 0.4, 0.45},
			cell: 0.6 * s.h, seed: 81},
		NewSurface(s.rect(-40, 0.3, 81, 0.36), Light{0.17, 0.16, 0.15},
			Texture{CellX: 0.16 * s.h, CellY: 0.05 * s.h, Octaves: 5, Contrast: 0.4, Seed: 82}),
		Ground{HorizonY: 0.62 * s.h, CentreX: 0.8 * s.w, NearY: s.h, Light: Light{0.2, 0.19, 0.18},
			Texture: Texture{CellX: 0.08 * s.h, CellY: 0.07 * s.h, Octaves: 5, Contrast: 0.35, Seed: 83}},
		NewCard(s.rect(0.62, 0.36, 0.13, 0.22), 0.18),
		Figure{
			X: 0.22 * s.w, Y: 0.88 * s.h, Height: 0.56 * s.h, Coat: Light{0.52, 0.15, 0.03}, Trousers: Light{0.03, 0.035, 0.05},
			Skin: Light{0.36, 0.25, 0.19}, Steps: 1.8, Path: walk, Soft: 0.004 * s.h,
		},
	}}
}
