package analyze

import (
	"fmt"
	"math"
	"strings"

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

// usualLifts are the lifts under which shadows are judged where none are asked for.
var usualLifts = []float64{1, 2}

// advised names the grade with the correction advised.
const advised = "advised"

// gradeAll returns the clip as recorded, after the advised correction, and lifted from what was
// recorded, as one lifts shadows to judge them.
func gradeAll(n *Noise, placement, correction float64, lifts []float64) []Graded {
	all := []Graded{gradeNoise("as recorded", n, placement, 0)}
	if correction != 0 {
		all = append(all, gradeNoise(advised, n, placement, correction))
	}
	if len(lifts) == 0 {
		lifts = usualLifts
	}
	for _, lift := range lifts {
		all = append(all, gradeNoise(fmt.Sprintf("lifted by %.1f stops", lift), n, placement, lift))
	}
	return all
}

// visibleNoise says from which tone down noise shows: after the correction (as recorded where none
// is advised), and under each lift.
func visibleNoise(all []Graded) []Finding {
	var parts []string
	for i, g := range all {
		corrected := i == 0 && len(all) > 1 && all[1].Name == advised
		if math.IsNaN(g.Visible) || corrected {
			continue
		}
		name := g.Name
		if g.Name == advised {
			name = "after the correction"
		}
		parts = append(parts, fmt.Sprintf("%+.0f stops %s", g.Visible, name))
	}
	if len(parts) == 0 {
		return nil
	}
	return []Finding{{"noise-visible", Note, fmt.Sprintf("Noise is plainly visible at and below scene tones of %s (%.0f unit of lightness and more; common practice).",
		strings.Join(parts, ", "), visibleLightness)}}
}
