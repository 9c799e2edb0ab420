package advise

import (
	"fmt"
	"math"
	"strings"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

// Names of grades: without a change, and with the correction advised.
const (
	asRecorded = "as recorded"
	advised    = "advised"
)

// usualLifts are the lifts under which shadows are judged where none are asked for.
var usualLifts = []curve.Stops{1, 2}

// grade returns the noise as displayed after an exposure change of stops (- for a pull), for a clip
// placed at grey, at scene tones -6 .. +2. Exposure after the recording scales light and noise
// alike, so that the SNR stays; what changes is where on the display's tone scale it lands. The
// noise in lightness is that of light times the slopes of the display and of CIE L*.
func grade(name string, f Facts, grey, stops curve.Stops) Graded {
	n := f.Noise
	g := Graded{Name: name, Stops: stops, Visible: curve.Unknown[curve.Stops]()}
	for scene := curve.Stops(-6); scene <= 2; scene++ {
		t := GradedTone{Scene: scene, SNR: n.SNR(grey + scene).Value, Nominal: n.SNR(scene).Value,
			SigmaL: curve.Unknown[curve.Ratio]()}
		if !math.IsNaN(float64(t.SNR)) {
			light := (grey + scene + stops).Light()
			sigma := curve.Ratio(float64(light) / math.Pow(10, float64(t.SNR)/20))
			t.SigmaL = f.Display.Light(light).LightnessSlope() * f.Display.Slope(light) * sigma
			if t.SigmaL >= limit.VisibleLightness {
				g.Visible = scene
			}
		}
		g.Tones = append(g.Tones, t)
	}
	return g
}

// gradeAll returns the clip as recorded, after the advised correction, and lifted from what was
// recorded, as one lifts shadows to judge them.
func gradeAll(f Facts, grey, correction curve.Stops) []Graded {
	all := []Graded{grade(asRecorded, f, grey, 0)}
	if correction != 0 {
		all = append(all, grade(advised, f, grey, correction))
	}
	lifts := f.Lifts
	if len(lifts) == 0 {
		lifts = usualLifts
	}
	for _, lift := range lifts {
		all = append(all, grade("lifted "+lift.Short(), f, grey, lift))
	}
	return all
}

// visibleFindings say from which tone down noise shows: after the correction (as recorded where
// none is advised), and under each lift.
func visibleFindings(all []Graded) []Finding {
	var parts []string
	for i, g := range all {
		corrected := i == 0 && len(all) > 1 && all[1].Name == advised
		if !curve.Finite(g.Visible) || corrected {
			continue
		}
		name := g.Name
		if name == advised {
			name = "after the correction"
		}
		if len(parts) == 0 {
			name = Capital(name) + ", noise shows"
		}
		parts = append(parts, name+" from "+strings.TrimPrefix(g.Visible.FromGrey(), "at ")+" down")
	}
	if len(parts) == 0 {
		return nil
	}
	return []Finding{{NoiseVisible, Note, fmt.Sprintf("%s (%.0f unit of lightness and more; common practice).",
		strings.Join(parts, "; "), limit.VisibleLightness)}}
}
