package footage

import (
	"math"
	"math/rand/v2"

	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// A Trial is a random camera before a random scene, for tests that count how often an answer
// holds. The same seed makes the same trial.
type Trial struct {
	Camera Camera
	Shot   Shot
	Kind   string // window, sky, night or wall
	Card   bool   // a grey card stands in it
	scene  uint64 // seed of what stands in it
}

// Kinds of scene a trial may have.
var kinds = []string{"window", "sky", "night", "wall"}

// NewTrial draws a trial at a size: sensors that clip from 3.5 to 6 stops over nominal, white
// balance gains of several lights, clean signal chains without a shoulder or noise reduction.
// Callers change what they test.
func NewTrial(seed uint64, width, height int, c *curve.Curve) Trial {
	rng := random(seed, 0, 0, forScene)
	t := Trial{Kind: kinds[rng.IntN(len(kinds))], Card: rng.IntN(3) > 0}
	t.Camera = NewCamera(width, height, c, curve.Stops(3.5+2.5*rng.Float64()))
	s := &t.Camera.Sensor
	s.Gains = [][3]float64{{1.8, 1, 1.5}, {1, 1, 1}, {2.2, 1, 1.3}, {1.4, 1, 2.1}}[rng.IntN(4)]
	s.Clamp = rng.IntN(3) == 0
	s.FullWell = 8000 * math.Exp2(3*rng.Float64())
	s.ReadE = 2 + 6*rng.Float64()
	s.Seed = seed
	t.Camera.Lens = 0.3 + 0.6*rng.Float64()
	t.Shot = Shot{Stops: curve.Stops(-0.5 + 3*rng.Float64()), Frames: 24, Seed: seed}
	t.scene = rng.Uint64()
	scene, card, kind := t.scene, t.Card, t.Kind
	t.Shot.Scene = func(w, h int) Scene { return trialScene(kind, card, w, h, scene) }
	return t
}

// WithChart returns the trial with a 24-patch chart, a fifth to two fifths of the frame wide and a
// little askew, and no card.
func (t Trial) WithChart() Trial {
	scene, kind := t.scene, t.Kind
	t.Card = false
	t.Shot.Scene = func(w, h int) Scene {
		s := trialScene(kind, false, w, h, scene)
		s.Still = append(s.Still, placeChart(random(scene, 2, 0, forScene), float64(w), float64(h)))
		return s
	}
	return t
}

// trialScene builds a scene of a kind, in pixels of the size given.
func trialScene(kind string, card bool, width, height int, seed uint64) Scene {
	rng := random(seed, 1, 0, forScene)
	w, h := float64(width), float64(height)
	parts := []synth.Part{NewShapes(-120, -120, w+240, h+240, max(h/180, 2), h/2.5, rng.Uint64())}
	switch kind {
	case "wall":
		parts = []synth.Part{synth.NewSurface(geometry.Upright(-w, -h, 3*w, 3*h),
			synth.Grey(curve.Light(0.1+0.5*rng.Float64())),
			synth.Texture{CellX: h / 2, CellY: h / 2, Octaves: 4, Contrast: 0.1 * rng.Float64(), Seed: rng.Uint64()})}
	case "night":
		parts = append(parts, Glow{w * rng.Float64(), h * rng.Float64(), h * 0.4, -1, -5})
		parts = append(parts, lamps(rng, w, h)...)
	}
	parts = append(parts, Glow{w * rng.Float64(), h * rng.Float64(), h * (0.5 + rng.Float64()), 0.6, -1.2})
	if kind == "window" || kind == "sky" {
		parts = append(parts, field(rng, kind, w, h))
	}
	if card {
		parts = append(parts, placeCard(rng, w, h))
	}
	return Scene{Still: parts}
}

// field returns a bright window or sky, one to seven stops over grey, with light falling over it.
func field(rng *rand.Rand, kind string, w, h float64) synth.Part {
	level := 0.18 * math.Exp2(1+6*rng.Float64())
	tint := 0.25 * rng.Float64()
	l := synth.Light{float32(level * (1 - tint/2)), float32(level), float32(level * (1 + tint))}
	q := geometry.Upright(-200, -200, w+400, 200+h*(0.15+0.3*rng.Float64()))
	if kind == "window" {
		ww, hh := w*(0.12+0.25*rng.Float64()), h*(0.2+0.3*rng.Float64())
		q = geometry.Upright((w-ww)*rng.Float64(), (h-hh)*0.5*rng.Float64(), ww, hh)
	}
	return synth.NewSurface(q, l, synth.Texture{CellX: w * 0.5, CellY: h * 0.35, Octaves: 3,
		Contrast: 0.1 + 0.3*rng.Float64(), Seed: rng.Uint64()})
}

func lamps(rng *rand.Rand, w, h float64) (parts []synth.Part) {
	for range 3 + rng.IntN(6) {
		warm := 1 + 0.5*rng.Float64()
		parts = append(parts, synth.Lamp{X: w * rng.Float64(), Y: h * 0.7 * rng.Float64(),
			Radius: h * (0.004 + 0.012*rng.Float64()), Halo: 0.05,
			Light: synth.Light{float32(40 * warm), 40, float32(40 / warm)}})
	}
	return parts
}

// placeCard returns a grey card of a twelfth to a fifth of the frame's width, in its lower half.
func placeCard(rng *rand.Rand, w, h float64) synth.Part {
	cw := w * (0.085 + 0.115*rng.Float64())
	ch := cw * (1.2 + 0.3*rng.Float64())
	x, y := 0.05*w+(0.9*w-cw)*rng.Float64(), h*0.5+(h*0.45-ch)*rng.Float64()
	tilt := 0.04 * cw * (rng.Float64() - 0.5)
	return synth.NewCard(geometry.Quad{{X: x, Y: y + tilt}, {X: x + cw, Y: y - tilt},
		{X: x + cw - tilt, Y: y + ch - tilt}, {X: x - tilt, Y: y + ch + tilt}}, curve.MidGrey)
}

// placeChart returns a chart of a fifth to two fifths of the frame's width, askew by up to 8 degrees.
func placeChart(rng *rand.Rand, w, h float64) synth.Part {
	cw := w * (0.2 + 0.2*rng.Float64())
	ch := cw * chartAspect
	x, y := 0.04*w+(0.92*w-cw)*rng.Float64(), 0.08*h+(0.84*h-ch)*rng.Float64()
	sin, cos := math.Sincos(8 * math.Pi / 180 * (2*rng.Float64() - 1))
	q := geometry.Upright(x, y, cw, ch)
	centre := q.Centre()
	for i, corner := range q {
		d := corner.Sub(centre)
		q[i] = centre.Add(geometry.Pt(cos*d.X-sin*d.Y, sin*d.X+cos*d.Y).Scale(0.95))
	}
	return synth.NewChart(q)
}

// chartAspect is a 24-patch chart's height over its width.
const chartAspect = 11.25 / 16.75
