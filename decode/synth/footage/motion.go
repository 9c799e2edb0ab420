package footage

import "math"

// A Motion is how the camera looks at the scene over time, t in seconds: the scene's place in the
// frame's top left corner in recorded pixels, and how many pixels of the scene one pixel spans.
type Motion func(t float64) (x, y, scale float64)

// Tripod does not move.
func Tripod(float64) (x, y, scale float64) { return 0, 0, 1 }

// Pan moves steadily, in pixels a second.
func Pan(across, down float64) Motion {
	return func(t float64) (x, y, scale float64) { return across * t, down * t, 1 }
}

// Handheld sways by about so many pixels (standard deviation): slow sway, quicker trembling of a
// tenth of it, from sines of unrelated rates.
func Handheld(pixels float64, seed uint64) Motion {
	rng := random(seed, 0, 0, forMotion)
	type wave struct{ amplitude, rate, phase float64 }
	axis := func() (all []wave) {
		for _, w := range []wave{{1, 0.45, 0}, {0.7, 0.97, 0}, {0.12, 3.1, 0}, {0.08, 7.3, 0}} {
			all = append(all, wave{w.amplitude, w.rate * (0.8 + 0.4*rng.Float64()), 2 * math.Pi * rng.Float64()})
		}
		return all
	}
	across, down := axis(), axis()
	at := func(waves []wave, t float64) (v float64) {
		for _, w := range waves {
			v += w.amplitude * math.Sin(2*math.Pi*w.rate*t+w.phase)
		}
		return pixels * v
	}
	return func(t float64) (x, y, scale float64) { return at(across, t), at(down, t), 1 }
}

// Breathing changes the size of the picture as a lens does when its focus is pulled: by a share,
// there and back in so many seconds.
func Breathing(share, period float64) Motion {
	return func(t float64) (x, y, scale float64) {
		return 0, 0, 1 + share*(1-math.Cos(2*math.Pi*t/period))/2
	}
}
