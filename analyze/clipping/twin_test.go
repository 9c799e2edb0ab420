package clipping

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The sums of samples in Go, for their twin in C to be compared with bit for bit.

func twinCompare(h *histogram, row, before []float32, fileCodes float64) {
	scale := float32(perCode / fileCodes)
	for x, v := range row {
		code, was := v*scale, before[x]*scale
		if code < 0 || was < 0 {
			continue
		}
		d := float64(code-was) / perCode
		h.count[min(int(code+0.5), bins-1)]++
		at := min(int((code+was+1)/2), bins-1)
		h.pairs[at]++
		h.change[at] += d * d
	}
}

func twinHues(h *hues, rgb [3][]float32, fileCodes float64) {
	toCode := float32(1 / fileCodes)
	for x, red := range rgb[0] {
		green, blue := rgb[1][x], rgb[2][x]
		at := min(max(int(max(red, green, blue)*toCode), 0), len(h.count)-1)
		h.count[at]++
		h.redGreen[at] += float64((red - green) * toCode)
		h.greenBlue[at] += float64((green - blue) * toCode)
	}
}

// TestTwins compares the sums in C with those in Go, of samples between and beyond all codes, in runs of every
// length around that in which places are found, and of samples that all lie on one code.
func TestTwins(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 5))
		fileCodes := []float64{0.25, 1, 4, 64}[seed%4]
		spread := []float64{0, 3, 1200}[seed%3]
		row := func() (all []float32) {
			for range 1 + int(seed) {
				all = append(all, float32(fileCodes*(500+spread*(random.Float64()-0.5)*1.1)))
			}
			return all
		}
		rgb, before := [3][]float32{row(), row(), row()}, row()
		got, want := newHistogram(), newHistogram()
		got.compare(rgb[0], before, fileCodes)
		twinCompare(&want, rgb[0], before, fileCodes)
		same := cmp.Comparer(func(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) })
		if d := cmp.Diff(want, got, cmp.AllowUnexported(histogram{}), same); d != "" {
			t.Fatalf("seed %d: histograms differ:\n%s", seed, d)
		}
		var hue, wantHue hues
		hue.add(rgb, fileCodes)
		twinHues(&wantHue, rgb, fileCodes)
		if hue != wantHue {
			t.Fatalf("seed %d: hues differ", seed)
		}
	}
}
