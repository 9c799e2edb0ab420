package analyze

import (
	"fmt"
	"math"

	"stopledger/curve"
)

// visibleLightness is the noise in CIE L* from which it is plainly visible at 100 %: about one
// unit. Common practice, no source.
const visibleLightness = 1.0

// shadowStops is the scene tone at which shadows are judged.
const shadowStops = -4

// gradeNoise returns the noise as displayed after an exposure change of stops (- for a pull),
// for a clip placed at placement, at scene tones -6 .. +2. Exposure after the recording scales
// light and noise alike, so that the SNR stays; what changes is where on the display's tone
// scale it lands.
func gradeNoise(name string, n *Noise, placement, stops float64) Graded {
	g := Graded{Name: name, Stops: stops, Visible: math.NaN()}
	for scene := -6.0; scene <= 2; scene++ {
		t := GradedTone{Scene: scene, SNR: snrAt(n, placement+scene), Nominal: snrAt(n, scene), SigmaL: math.NaN()}
		if !math.IsNaN(t.SNR) {
			light := curve.FromStops(placement + scene + stops)
			sigma := light / math.Pow(10, t.SNR/20)
			shown := DisplayLight(light)
			t.SigmaL = LightnessSlope(shown) * DisplaySlope(light) * sigma
			if t.SigmaL >= visibleLightness {
				g.Visible = scene
			}
		}
		g.Tones = append(g.Tones, t)
	}
	return g
}

// gradeAll returns the clip as recorded, after the advised correction, and with the lifts asked
// for on top of it.
func gradeAll(n *Noise, placement, correction float64, lifts []float64) []Graded {
	all := []Graded{gradeNoise("as recorded", n, placement, 0)}
	if correction != 0 {
		all = append(all, gradeNoise("advised", n, placement, correction))
	}
	for _, lift := range lifts {
		all = append(all, gradeNoise(fmt.Sprintf("%+.1f stops on top", lift), n, placement, correction+lift))
	}
	return all
}

// visibleNoise says at which tone noise shows, as recorded, after the correction, and after each
// lift asked for.
func visibleNoise(all []Graded) (out []Finding) {
	for _, g := range all {
		if math.IsNaN(g.Visible) || (g.Stops == 0 && len(all) > 1) {
			continue
		}
		when := "As recorded"
		if math.Abs(g.Stops) >= 0.05 { // else it reads +0.0
			when = fmt.Sprintf("At %+.1f stops (%s)", g.Stops, g.Name)
		}
		out = append(out, Finding{"noise-visible", Note, fmt.Sprintf("%s noise is plainly visible at scene %+.0f stops and darker (%.0f unit of lightness and more; common practice).", when, g.Visible, visibleLightness)})
	}
	return out
}
