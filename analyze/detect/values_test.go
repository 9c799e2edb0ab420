package detect

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// publishedSRGB is the 2005 edition as its maker gives it in 8-bit sRGB under D65 (from memory).
var publishedSRGB = [24][3]float64{
	{115, 82, 68}, {194, 150, 130}, {98, 122, 157}, {87, 108, 67}, {133, 128, 177}, {103, 189, 170},
	{214, 126, 44}, {80, 91, 166}, {193, 90, 99}, {94, 60, 108}, {157, 188, 64}, {224, 163, 46},
	{56, 61, 150}, {70, 148, 73}, {175, 54, 60}, {231, 199, 31}, {187, 86, 149}, {8, 133, 161},
	{243, 243, 242}, {200, 200, 200}, {160, 160, 160}, {122, 122, 121}, {85, 85, 85}, {52, 52, 52},
}

func times(m [3][3]float64, v [3]float64) (out [3]float64) {
	for row := range 3 {
		for k := range 3 {
			out[row] += m[row][k] * v[k]
		}
	}
	return out
}

// TestReferenceAgainstSRGB: linear R, G, B of each patch are those of the published sRGB values, decoded (IEC
// 61966-2-1, the same primaries as BT.709), but for what another measurement and adaptation to D65 make of them.
func TestReferenceAgainstSRGB(t *testing.T) {
	const near, scaled = 0.05, 0.15 // of a perfect white; of the value
	for i, codes := range publishedSRGB {
		reference := Edition2005.Reference(i)
		for k, code := range codes {
			want := math.Pow((code/255+0.055)/1.055, 2.4)
			if code/255 <= 0.04045 {
				want = code / 255 / 12.92
			}
			if math.Abs(reference[k]-want) > scaled*want+near {
				t.Errorf("%s, channel %d: %.4f, published %.4f", patchNames[i], k, reference[k], want)
			}
		}
	}
}

// TestChromaticitiesReturn: tristimulus values have the chromaticities and the Y that they come from (CIE 15).
func TestChromaticitiesReturn(t *testing.T) {
	for e, table := range map[Edition][24][3]float64{Edition1976: published1976, Edition2005: published2005} {
		for i, p := range table {
			c := e.xyz(i)
			sum := c[0] + c[1] + c[2]
			if math.Abs(c[0]/sum-p[0]) > 1e-12 || math.Abs(c[1]/sum-p[1]) > 1e-12 || e.Luminance(i) != p[2] {
				t.Errorf("%s, edition %s: %v from %v", patchNames[i], e, c, p)
			}
		}
	}
}

// TestLab: L* and Y of greys by CIE 1976 (CIE 15): 50 is 18.4187 %, 8 is 8 / 903.3, the foot's end; a colour goes there
// and back.
func TestLab(t *testing.T) {
	white := [3]float64{0.9642, 1, 0.8251}
	for lightness, y := range map[float64]float64{100: 1, 50: 0.184187, 8: 0.0088565, 4: 0.0044282, 0: 0} {
		got := fromLab([3]float64{lightness, 0, 0}, white)
		for k := range got {
			if math.Abs(got[k]/white[k]-y) > 2e-6 {
				t.Errorf("L* %g: %v", lightness, got)
			}
		}
	}
	f := func(r float64) float64 {
		if r > 216.0/24389 {
			return math.Cbrt(r)
		}
		return (24389.0/27*r + 16) / 116
	}
	rng := rand.New(rand.NewPCG(44, 1))
	for range 100 {
		lab := [3]float64{100 * rng.Float64(), 100*rng.Float64() - 50, 100*rng.Float64() - 50}
		c := fromLab(lab, white)
		x, y, z := f(c[0]/white[0]), f(c[1]/white[1]), f(c[2]/white[2])
		for k, back := range [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)} {
			if math.Abs(back-lab[k]) > 1e-9 {
				t.Fatalf("%v comes back as %v", lab, back)
			}
		}
	}
}

// TestWhiteOfBT709: the matrix takes D65 to equal R, G and B of 1, and each primary to itself alone (Recommendation
// ITU-R BT.709-6, 1.3 and 1.4).
func TestWhiteOfBT709(t *testing.T) {
	const tolerance = 1e-3 // the white is given to four places
	for k, v := range times(toBT709, fromChromaticity(0.3127, 0.3290, 1)) {
		if math.Abs(v-1) > tolerance {
			t.Errorf("white: channel %d is %.5f", k, v)
		}
	}
	for own, xyY := range [3][3]float64{{0.640, 0.330, 0.2126}, {0.300, 0.600, 0.7152}, {0.150, 0.060, 0.0722}} {
		for k, v := range times(toBT709, fromChromaticity(xyY[0], xyY[1], xyY[2])) {
			want := 0.0
			if k == own {
				want = 1
			}
			if math.Abs(v-want) > tolerance {
				t.Errorf("primary %d: channel %d is %.5f", own, k, v)
			}
		}
	}
}

// TestEditionText: editions go by their years, there and back; others are refused with what there is.
func TestEditionText(t *testing.T) {
	for e, name := range map[Edition]string{Edition2005: "2005", Edition1976: "1976", EditionNov2014: "2014"} {
		text, err := e.MarshalText()
		var back Edition
		if err != nil || string(text) != name || back.UnmarshalText(text) != nil || back != e {
			t.Errorf("%s: %q, %v, back %v", name, text, err, back)
		}
	}
	for _, e := range []Edition{-1, 3, 99} {
		if text, err := e.MarshalText(); err == nil {
			t.Errorf("edition %d is named %q", int(e), text)
		}
	}
	var e Edition
	for _, name := range []string{"", "2004", "after November 2014", "20055"} {
		if err := e.UnmarshalText([]byte(name)); err == nil {
			t.Errorf("%q names an edition", name)
		}
	}
}

// TestChartDocumentsRefused: documents of charts that cannot be are refused.
func TestChartDocumentsRefused(t *testing.T) {
	var c Chart
	for name, doc := range map[string]string{
		"no object": `[]`, "no edition": `{"patches":[]}`, "unknown edition": `{"edition":"1999","patches":[]}`,
		"few patches": `{"edition":"2005","patches":[{"name":"white 9.5"}]}`,
		"doubt":       `{"edition":"2005","doubt":"weather"}`, "cut": `{"edition":"2005"`,
	} {
		if err := json.Unmarshal([]byte(doc), &c); err == nil {
			t.Errorf("%s: read as %+v", name, c)
		}
	}
}

// TestLightFigures: stops, balance and standard error of a light worked by hand: 0.36 is a stop over 0.18; a spread of
// a tenth over 400 pixels is 0.1 / 20 of the light, over ln 2 in stops.
func TestLightFigures(t *testing.T) {
	l := Light{Luma: 0.36, RGB: [3]curve.Light{0.36, 0.18, 0.09}, Spread: 0.036, Pixels: 400}
	if off(l.Stops(), 1) > 1e-12 {
		t.Errorf("%g stops", l.Stops())
	}
	if got, want := l.tone(-8), (pyramid.Tone{R: 1, G: 0, B: -1}); got != want {
		t.Errorf("tone %+v", got)
	}
	if got := l.balance(-8); got != [3]curve.Stops{1, 0, -1} {
		t.Errorf("balance %v", got)
	}
	if got, want := l.stopsError(), 0.1/20/math.Ln2; math.Abs(got-want) > 1e-12 {
		t.Errorf("error %g, want %g", got, want)
	}
	dark := Light{Luma: -0.001, RGB: [3]curve.Light{0, 0.18, -1}, Pixels: 10}
	if dark.stopsError() != 1 || dark.tone(-8).R != -8 || dark.tone(-8).B != -8 ||
		!math.IsInf(float64(dark.Stops()), -1) {
		t.Errorf("no light: %+v, error %g", dark.tone(-8), dark.stopsError())
	}
	if noisy := (Light{Luma: 0.01, Spread: 5, Pixels: 1}); noisy.stopsError() != 1 {
		t.Errorf("error %g of all noise", noisy.stopsError())
	}
}

// TestMeterPixels: the pixels of a small quad are those whose centres lie in it; of a large one, as many as may be.
func TestMeterPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(44, 2))
	f := randomFrame(rng, decode.Gray, 10, 400, 300, 1, 1)
	m := newMeter(f, reading(t, "S-Log3"), curve.BT709, 0, &defaults.Search)
	for range 20 {
		q := geometry.Upright(360*rng.Float64(), 260*rng.Float64(), 50, 40)
		for i := range q {
			q[i] = q[i].Add(geometry.Pt(20*rng.Float64(), 20*rng.Float64()))
		}
		want := map[[2]int]bool{}
		for y := range 300 {
			for x := range 400 {
				if q.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) {
					want[[2]int{x, y}] = true
				}
			}
		}
		n := 0
		m.each(q, func(x, y int) {
			n++
			if !want[[2]int{x, y}] {
				t.Fatalf("%v: visits %d, %d", q, x, y)
			}
		})
		if n != len(want) {
			t.Errorf("%v: %d pixels, want %d", q, n, len(want))
		}
	}
	n := 0
	m.each(geometry.Upright(0, 0, 400, 300), func(int, int) { n++ })
	if most := defaults.Search.MostPixels; float64(n) < most/2 || float64(n) > 2*most {
		t.Errorf("%d pixels of a whole frame", n)
	}
}

// TestMeterBetweenCodes: the light of a code between two of the file's is between theirs, and close to the curve's.
func TestMeterBetweenCodes(t *testing.T) {
	r := reading(t, "S-Log3")
	f := randomFrame(rand.New(rand.NewPCG(44, 3)), decode.Gray, 10, 64, 64, 1, 1)
	m := newMeter(f, r, curve.BT709, 0, &defaults.Search)
	for code := -20.0; code < 1100; code += 0.73 {
		want := float64(r.Light(curve.FileCode(code)))
		if got := m.linear(code); math.Abs(got-want) > 2e-4*math.Abs(want)+1e-5 {
			t.Errorf("code %g: light %g, want %g", code, got, want)
		}
	}
}

// TestWhiteBalance: the median of the used neutrals, whatever the colours and the unused say; nothing without any.
func TestWhiteBalance(t *testing.T) {
	var p [24]Patch
	for i := range p {
		p[i].Light.RGB = [3]curve.Light{0.4, 0.2, 0.1}
		p[i].Used = i != 20 && i >= firstNeutral
	}
	p[20].Light.RGB = [3]curve.Light{9, 0.1, 0.1}
	p[22].Light.RGB = [3]curve.Light{0.1, 0.2, 0.4} // one of five
	for k, want := range []curve.Stops{1, 0, -1} {
		if got := whiteBalance(&p, -8)[k]; off(got, want) > 1e-12 {
			t.Errorf("channel %d: %g", k, got)
		}
	}
	if got := whiteBalance(new([24]Patch), -8); got != [3]curve.Stops{} {
		t.Errorf("without neutrals: %v", got)
	}
}

// TestRegionOfChart: the used neutral nearest to 18 % is measured over a clip: neutral 5 of 19.15 % (2005) where it is
// used, the next where not.
func TestRegionOfChart(t *testing.T) {
	grid := gridThrough(geometry.Upright(50, 50, 250, 150))
	for _, c := range []struct {
		unused []int
		want   int
	}{{nil, 21}, {[]int{21}, 20}, {[]int{20, 21}, 22}, {[]int{19, 20, 21, 22, 23}, 18}} {
		r := reading(t, "S-Log3")
		ch := Chart{Patches: neutralsRecorded(Edition2005, 0, 0, r, r, false)}
		for i := firstNeutral; i < 24; i++ {
			ch.Patches[i].Used = true
		}
		for _, i := range c.unused {
			ch.Patches[i].Used = false
		}
		ch.setRegion(grid, 0.3)
		centre := grid.At(float64(c.want%6), float64(c.want/6))
		if ch.RegionStops != ch.Patches[c.want].Published {
			t.Errorf("without %v: %g stops, want %g", c.unused, ch.RegionStops, ch.Patches[c.want].Published)
		}
		b := ch.Region
		if math.Abs(float64(b.Min.X+b.Max.X)/2-centre.X) > 1 || math.Abs(float64(b.Min.Y+b.Max.Y)/2-centre.Y) > 1 ||
			b.Dx() > 30 || b.Dx() < 27 {
			t.Errorf("without %v: region %v round %v", c.unused, b, centre)
		}
	}
}

// TestConfidenceOfChart: half at the least share explained, one at the full, less for patches left out beyond a few.
func TestConfidenceOfChart(t *testing.T) {
	p := &defaults.Chart
	view := func(explained float64, used int) *chartView {
		return &chartView{match: match{explained: explained, used: used}}
	}
	for _, c := range []struct {
		v    *chartView
		want float64
	}{
		{view(p.LeastExplained, 24), 0.5}, {view(p.FullExplained, 24), 1}, {view(1, 24), 1}, {view(0, 24), 0},
		{view(p.FullExplained, 21), 1}, {view(p.FullExplained, 19), 0.9},
		{view((p.LeastExplained+p.FullExplained)/2, 24), 0.75},
	} {
		if got := c.v.confidence(p); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%.3f explained of %d: %.3f, want %.3f", c.v.match.explained, c.v.match.used, got, c.want)
		}
	}
	still := view(0.9, 24)
	still.still = true
	if !(view(0.9, 24).merit(p) > view(0.85, 24).merit(p) && view(0.9, 24).merit(p) > view(0.9, 20).merit(p) &&
		view(0.9, 24).merit(p) > still.merit(p)) {
		t.Error("merit prefers what explains more, leaves out less and is seen flat")
	}
}

// TestReduction: a frame is searched at full size for small charts, else at an even part of it.
func TestReduction(t *testing.T) {
	for _, c := range []struct{ width, smallest, want int }{
		{1920, 0, 2}, {3840, 0, 4}, {640, 0, 2}, {1920, 20, 1}, {1920, 59, 1}, {7680, 0, 8}, {1920, 110, 2}, {1920, 120, 4},
	} {
		if got := (Options{SmallestChart: c.smallest}).withDefaults(c.width).reduction(); got != c.want {
			t.Errorf("width %d, smallest %d: %d, want %d", c.width, c.smallest, got, c.want)
		}
	}
}
