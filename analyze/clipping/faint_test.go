package clipping

import (
	"math"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// handMadeTops are the channels of a lossy clip, which have a peak at a code each, with ten times
// the noise of the light below, as coding leaves it at edges. Light below the peaks is coloured by
// so many codes from red to green and from green to blue.
func handMadeTops(t *testing.T, codes [3]int, hue float64) *tops {
	t.Helper()
	all := &tops{channels: channels{reading: testframes.Reading(t, 10), coding: Coding{Lossy: true}}}
	for i, code := range codes {
		h := newHistogram()
		for at := 400 * perCode; at < (code+5)*perCode; at++ {
			n, noise := 20.0, photonNoise(all.reading, at)
			if near := 1 - math.Abs(float64(at-code*perCode))/(5*perCode); near > 0 {
				n, noise = n+400*near, 10*noise
			}
			h.count[at], h.pairs[at], h.change[at] = n, n, 2*n*noise
		}
		all.histograms[i] = h
		for _, n := range h.count {
			all.samples += n / 3
		}
	}
	for at := 700; at < len(all.hues.count); at++ {
		all.hues.count[at], all.hues.redGreen[at], all.hues.greenBlue[at] = 10, 10*hue, 10*hue
	}
	return all
}

// photonNoise is the variance in code^2, at a bin, of light whose variance grows with it, half a
// code^2 at 900.
func photonNoise(r curve.Reading, at int) float64 {
	return 0.5 * float64(r.Light(900)/r.Light(r.FileCode(codeOf(float64(at)))))
}

// TestSharedPeaks: peaks that coding drowns are ceilings where channels share a code and the light
// around is coloured, or at the end of the codes, 1019; never alone.
func TestSharedPeaks(t *testing.T) {
	for _, tc := range []struct {
		name  string
		codes [3]int
		hue   float64
		want  [3]float64
	}{
		{"all", [3]int{900, 900, 900}, 30, [3]float64{900, 900, 900}},
		{"the highest near by counts", [3]int{903, 900, 898}, 30, [3]float64{903, 903, 900}},
		{"two", [3]int{900, 900, 860}, 30, [3]float64{900, 900, 0}},
		{"too far apart", [3]int{900, 890, 880}, 30, [3]float64{}},
		{"neutral light", [3]int{900, 900, 900}, 3, [3]float64{}},
		{"the end of the codes", [3]int{1017, 960, 920}, 30, [3]float64{1019, 0, 0}},
		{"the end of the codes, neutral", [3]int{1018, 1018, 1018}, 0, [3]float64{1019, 1019, 1019}},
		{"low in the curve", [3]int{600, 600, 600}, 30, [3]float64{}},
	} {
		got := handMadeTops(t, tc.codes, tc.hue).ceilings()
		for i, want := range tc.want {
			code := float64(got.Channel[i])
			if want == 0 && !math.IsNaN(code) || want > 0 && !(math.Abs(code-want) < 0.3) {
				t.Errorf("%s: channel %d ceiling %.2f, want %.0f", tc.name, i, code, want)
			}
		}
		if got.Measured != (tc.want != [3]float64{}) {
			t.Errorf("%s: %+v", tc.name, got)
		}
	}
}

// TestLightIsNotShared: neutral light whose noise shows is none, however its channels agree; nor
// do the three of a gray frame support each other.
func TestLightIsNotShared(t *testing.T) {
	calm := handMadeTops(t, [3]int{900, 900, 900}, 30)
	for _, h := range calm.histograms {
		for at := range h.change {
			h.change[at] = 2 * h.pairs[at] * photonNoise(calm.reading, max(at, 1))
		}
	}
	gray := handMadeTops(t, [3]int{900, 900, 900}, 30)
	gray.gray = true
	for name, c := range map[string]*tops{"noise of light": calm, "gray": gray} {
		if got := c.ceilings(); got.Measured {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// TestHues takes the mean difference of channels in light 12 to 120 codes below.
func TestHues(t *testing.T) {
	var h hues
	h.add([3][]float32{{800, 800, 800, 800, 899, 700}, {760, 760, 760, 760, 899, 0}, {710, 710, 710, 710, 0, 0}}, 1)
	for _, tc := range []struct {
		a, b int
		want float64
	}{{0, 1, 40}, {1, 2, 50}, {0, 2, 90}, {2, 0, 90}} {
		if got := float64(h.between(tc.a, tc.b, 900)); math.Abs(got-tc.want) > 1e-3 {
			t.Errorf("channels %d and %d: %.2f codes, want %.0f", tc.a, tc.b, got, tc.want)
		}
	}
	if got := h.between(0, 2, 700); got != 0 {
		t.Errorf("where no light is: %.2f codes", got)
	}
}
