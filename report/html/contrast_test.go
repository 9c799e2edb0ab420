package html

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"stopledger/report/internal/reporttest"
)

func contrast(a, b [3]float64) float64 {
	x, y := reporttest.Luminance(a), reporttest.Luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// Least contrasts of WCAG 2.2 at level AA: success criteria 1.4.3 for text and 1.4.11 for what
// carries meaning otherwise (from memory).
const (
	textContrast = 4.5
	partContrast = 3.0
)

func TestColoursHaveContrast(t *testing.T) {
	css := pageText([]string{"base.css"})
	blocks := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllStringSubmatch(css, -1)
	if len(blocks) != 4 { // the last names colours of the system
		t.Fatalf("%d blocks of colours, want light, dark, print and forced", len(blocks))
	}
	for i, scheme := range []string{"light", "dark", "print"} {
		colours := map[string][3]float64{}
		for _, m := range regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{3,6});`).FindAllStringSubmatch(blocks[i][1], -1) {
			colours[m[1]] = hexColour(t, m[2])
		}
		for _, pair := range []struct {
			ink, ground string
			least       float64
		}{
			{"ink", "ground", textContrast}, {"ink", "raised", textContrast}, {"soft", "ground", textContrast}, {"soft",
				"raised", textContrast},
			{"main", "ground", textContrast}, {"main", "raised", textContrast}, {"other", "ground", partContrast},
			{"flag-ink", "flag", textContrast},
		} {
			ink, ok1 := colours[pair.ink]
			ground, ok2 := colours[pair.ground]
			if !ok1 || !ok2 {
				t.Errorf("%s: no colour %s or %s", scheme, pair.ink, pair.ground)
				continue
			}
			if got := contrast(ink, ground); got < pair.least {
				t.Errorf("%s: %s on %s has contrast %.2f, want %.1f", scheme, pair.ink, pair.ground, got, pair.least)
			}
		}
	}
}

func hexColour(t *testing.T, s string) (rgb [3]float64) {
	t.Helper()
	if len(s) == 3 {
		s = string([]byte{s[0], s[0], s[1], s[1], s[2], s[2]})
	}
	n, err := strconv.ParseUint(s, 16, 32)
	if err != nil {
		t.Fatal(err)
	}
	return [3]float64{float64(n >> 16), float64(n >> 8 & 255), float64(n & 255)}
}
