package footage

import (
	"math"
	"slices"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

const trials = 200

// Over many seeds a trial has each kind of scene as often as chance has it, a card in two of three,
// and a camera within the ranges told.
func TestTrialsOverManySeeds(t *testing.T) {
	kind, gains := map[string]int{}, map[[3]float64]int{}
	var cards, clamped int
	within := func(what string, v, low, high float64) {
		if v < low || v > high {
			t.Errorf("%s of %.3f, want %.3f to %.3f", what, v, low, high)
		}
	}
	for seed := range uint64(trials) {
		trial := NewTrial(seed, 96, 64, sLog3(t))
		s := trial.Camera.Sensor
		kind[trial.Kind]++
		gains[s.Gains]++
		if trial.Card {
			cards++
		}
		if s.Clamp {
			clamped++
		}
		within("ceiling", math.Log2(s.Ceiling/0.18), 3.5, 6)
		within("full well", s.FullWell, 8000, 64000)
		within("read noise", s.ReadE, 2, 8)
		within("blur", trial.Camera.Lens, 0.3, 0.9)
		within("exposure", float64(trial.Shot.Stops), -0.5, 2.5)
		c := trial.Camera
		if c.Spatial != 0 || c.Temporal != 0 || c.Sharpen != 0 || c.BlackClamp {
			t.Errorf("seed %d: the signal chain is not clean", seed)
		}
		if s.Gains[1] != 1 || s.Seed != seed || trial.Shot.Seed != seed || trial.Shot.Frames != 24 {
			t.Errorf("seed %d: %+v", seed, s)
		}
	}
	// Binomial: four standard deviations of sqrt(n p (1 - p)).
	often := func(what string, n int, p float64) {
		if math.Abs(float64(n)-trials*p) > 4*math.Sqrt(trials*p*(1-p)) {
			t.Errorf("%s in %d of %d trials, want about %.0f", what, n, trials, trials*p)
		}
	}
	for _, k := range kinds {
		often(k, kind[k], 1./4)
	}
	for g, n := range gains {
		often("some gains", n, 1./4)
		if !slices.Contains([]float64{1, 1.4, 1.8, 2.2}, g[0]) {
			t.Errorf("gains %v", g)
		}
	}
	often("a card", cards, 2./3)
	often("a clamp", clamped, 1./3)
	if len(kind) != 4 || len(gains) != 4 {
		t.Errorf("kinds %v, gains %v", kind, gains)
	}
}

// The card of a trial is whole in frame, in its lower half, and as large as told; its light is known.
// Without one, nothing is.
func TestCardsOfTrials(t *testing.T) {
	const w, h = 192, 108
	for seed := range uint64(trials) {
		trial := NewTrial(seed, w, h, sLog3(t))
		if trial.Kind == "wall" || seed%5 == 0 { // the others take long to paint their shapes
			var cards []synth.Mark
			for _, m := range trial.Shot.Scene(w, h).marks() {
				if m.Kind == synth.MarkCard {
					cards = append(cards, m)
				}
			}
			if len(cards) == 0 != !trial.Card || len(cards) > 1 {
				t.Fatalf("seed %d: %d cards, said to have one: %v", seed, len(cards), trial.Card)
			}
			if trial.Card {
				checkCard(t, seed, cards[0], w, h)
			}
		}
	}
}

func checkCard(t *testing.T, seed uint64, card synth.Mark, w, h float64) {
	t.Helper()
	b := card.Quad.Bounds()
	wide := card.Quad[0].Distance(card.Quad[1]) / w
	tall := card.Quad[0].Distance(card.Quad[3]) / card.Quad[0].Distance(card.Quad[1])
	if !card.Quad.Within(int(w), int(h)) || float64(b.Min.Y) < 0.48*h {
		t.Errorf("seed %d: the card lies at %v", seed, b)
	}
	if wide < 0.08 || wide > 0.21 || tall < 1.1 || tall > 1.6 {
		t.Errorf("seed %d: %.3f of the width, %.2f as high as wide", seed, wide, tall)
	}
	if card.Reflectance != curve.MidGrey || !card.Neutral {
		t.Errorf("seed %d: %+v", seed, card)
	}
}

// The chart of a trial is whole in frame and the only reference in it; its greys lie where the shot is
// exposed, less what the lens loses towards the corners.
func TestChartsOfTrials(t *testing.T) {
	const w, h = 192, 108
	for seed := range uint64(trials) {
		trial := NewTrial(seed, w, h, sLog3(t)).WithChart()
		if trial.Kind != "wall" { // the others take long to paint their shapes
			continue
		}
		var charts, greys int
		for _, m := range trial.Shot.Scene(w, h).marks() {
			switch m.Kind {
			case synth.MarkChart:
				charts++
				if wide := m.Quad.Side(0) / w; !m.Quad.Within(w, h) || wide < 0.18 || wide > 0.4 {
					t.Errorf("seed %d: a chart of %.2f of the width at %v", seed, wide, m.Quad.Bounds())
				}
			case synth.MarkCard:
				t.Errorf("seed %d: a card beside the chart", seed)
			case synth.MarkPatch:
				if m.Neutral {
					greys++
				}
			}
		}
		if charts != 1 || greys != 6 || trial.Card {
			t.Fatalf("seed %d: %d charts, %d greys", seed, charts, greys)
		}
	}
	trial := NewTrial(4, w, h, sLog3(t)).WithChart()
	trial.Camera.Lens, trial.Shot.Scene = 0, func(w, h int) Scene {
		s := trialScene("wall", false, w, h, 4)
		s.Still[1] = placeChart(random(4, 2, 0, forScene), float64(w), float64(h)) // in the glow's place
		return s
	}
	reel := NewReel(trial.Camera, trial.Shot)
	reel.Next()
	lost := float64(trial.Shot.Stops - reel.placement())
	if lost < 0 || lost > float64(trial.Camera.Vignette) {
		t.Errorf("the chart's greys lie %.3f stops under the exposure, the lens loses %.2f at most", lost,
			float64(trial.Camera.Vignette))
	}
}

// A scene has light everywhere, of sensible size, and is the same each time it is built.
func TestScenesOfTrials(t *testing.T) {
	const w, h = 64, 36
	for _, kind := range kinds {
		for seed := range uint64(3) {
			a, b := NewImage(w, h), NewImage(w, h)
			a.paint(trialScene(kind, true, w, h, seed).Still, 0, 0, 0)
			b.paint(trialScene(kind, true, w, h, seed).Still, 0, 0, 0)
			for c := range a.Planes {
				if !slices.Equal(a.Planes[c], b.Planes[c]) {
					t.Fatalf("%s %d differs from itself", kind, seed)
				}
				if low, high := slices.Min(a.Planes[c]), slices.Max(a.Planes[c]); low <= 0 || high > 200 {
					t.Errorf("%s %d: light from %g to %g", kind, seed, low, high)
				}
			}
		}
	}
}

// Reflectances are natural ones: between 1.5 % and 85 % in green, their median near 12 %, slightly
// coloured either way.
func TestReflectances(t *testing.T) {
	rng := random(1, 0, 0, forScene)
	var green, warm []float64
	for range 4000 {
		l := reflectance(rng)
		if l[1] < 0.0149 || l[1] > 0.8501 {
			t.Fatalf("reflectance of %g", l[1])
		}
		green = append(green, float64(l[1]))
		warm = append(warm, math.Log(float64(l[0]/l[1])))
	}
	slices.Sort(green)
	slices.Sort(warm)
	// The median of n log-normal values of sigma 0.8 is known to 1.25 x 0.8 / sqrt(n) (normal theory).
	if off := math.Log(green[2000] / 0.12); math.Abs(off) > 4*1.25*0.8/math.Sqrt(4000) {
		t.Errorf("median of %.4f", green[2000])
	}
	if math.Abs(warm[2000]) > 4*1.25*0.18/math.Sqrt(4000) {
		t.Errorf("red is %+.4f to green in the median, in logarithms", warm[2000])
	}
}
