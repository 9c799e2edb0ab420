package plan

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

func reading(t *testing.T, name string) curve.Reading {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Bits: 10}
}

// camera is a sensor of known noise and ceiling.
func camera(iso int, read, shot curve.Light, ceiling curve.Stops) Sensor {
	return Sensor{iso, ceiling, clipping.Measured, noise.Camera{Read: read, ReadLow: read, ReadHigh: read, Shot: shot,
		ShotLow: shot, ShotHigh: shot}}
}

// Zebras are those of the curves' papers, written out here again: S-Log3 (Technical Summary for
// S-Gamut3.Cine/S-Log3, appendix), V-Log (V-Log/V-Gamut Reference Manual Rev. 1.0), LogC3 EI 800 (ALEXA Log C
// Curve - Usage in VFX), within 0.1 %.
func TestZebrasAreTheCurves(t *testing.T) {
	for name, percent := range map[string]func(light float64) float64{
		"slog3": func(x float64) float64 { return (420 + 261.5*math.Log10((x+0.01)/0.19) - 64) / 8.76 },
		"vlog":  func(x float64) float64 { return (1023*(0.241514*math.Log10(x+0.00873)+0.598206) - 64) / 8.76 },
		"logc3": func(x float64) float64 { return 100 * (0.247190*math.Log10(5.555556*x+0.052272) + 0.385537) },
	} {
		r := reading(t, name)
		p := Make(Request{Reading: r, Scene: Scene{-4, 4}, Sensors: []Sensor{Unseen(r)}})
		for _, row := range p.Rows {
			grey := 0.18 * math.Exp2(float64(row.Placement))
			for _, c := range []struct {
				what string
				got  curve.Percent
				at   float64 // reflectance; the chart's skins as printed
			}{{"grey", row.Zebra.Grey, 0.18}, {"dark skin", row.Zebra.SkinLow, 0.1008},
				{"light skin", row.Zebra.SkinHigh, 0.3495}, {"white", row.Zebra.White, 0.9}} {
				want := percent(grey * c.at / 0.18)
				above := want > float64(r.PercentOf(p.Choices[0].Ceiling.Light()))
				if above != !curve.Finite(c.got) || !above && math.Abs(float64(c.got)-want) > 0.1 {
					t.Errorf("%s, %s at %+.1f: zebra %v, by the paper %.2f", name, c.what, row.Placement, c.got, want)
				}
			}
		}
	}
}

// Habits of the trade hold (common practice, no source): with S-Log3 grey reads 41 %, 58 % two stops over,
// and near grey a stop is some 8 % of zebra.
func TestRulesOfThumb(t *testing.T) {
	r := reading(t, "slog3")
	p := Make(Request{Reading: r, Scene: Scene{-4, 3}, Sensors: []Sensor{Unseen(r)}})
	at := map[curve.Stops]float64{}
	for _, row := range p.Rows {
		at[row.Placement] = float64(row.Zebra.Grey)
	}
	if math.Abs(at[0]-41) > 0.5 || math.Abs(at[2]-58) > 0.5 {
		t.Errorf("grey reads %.1f %% at nominal and %.1f %% two stops over", at[0], at[2])
	}
	for _, step := range []float64{at[0] - at[-1], at[1] - at[0]} {
		if math.Abs(step-8.5) > 0.75 {
			t.Errorf("a stop near grey is %.1f %% of zebra", step)
		}
	}
}

// The recommended placement is the exact one: found here by trying placements a thousandth of a stop apart
// by the definition, the least light at which scene LOW has 26 dB, nominal at least, within the highlights.
func TestRecommendedPlacement(t *testing.T) {
	for _, c := range []struct {
		read, shot curve.Light
		ceiling    curve.Stops
		scene      Scene
	}{
		{3e-4, 2e-5, 6, Scene{-4, 4}}, {3e-4, 2e-5, 6, Scene{-5, 2.5}}, {1e-3, 8e-5, 6, Scene{-4, 3}},
		{1e-4, 5e-6, 6, Scene{-3, 2}}, {2e-3, 1e-4, 4.2, Scene{-4, 4}},
	} {
		one := []Sensor{camera(800, c.read, c.shot, c.ceiling)}
		p := Make(Request{Reading: reading(t, "slog3"), Scene: c.scene, Sensors: one})
		snr := func(at float64) float64 {
			light := 0.18 * math.Exp2(at+float64(c.scene.Low))
			return 20 * math.Log10(light/math.Sqrt(float64(c.read*c.read)+float64(c.shot)*light))
		}
		best, clean := math.Inf(-1), math.Inf(1)
		for at := -12.0; at < 12; at += 0.001 {
			if at+float64(c.scene.High)+0.3 <= float64(c.ceiling)+1e-9 {
				if best < 0 || snr(best) < 26 {
					best = at
				}
			}
			if snr(at) >= 20 {
				clean = min(clean, at)
			}
		}
		got := p.Choices[0]
		if math.Abs(float64(got.Placement)-best) > 0.002 {
			t.Errorf("%+v: recommended %+.3f, the optimum is %+.3f", c, got.Placement, best)
		}
		if math.Abs(float64(got.Lowest)-clean) > 0.002 || got.Fits != (got.Lowest <= got.Highest) {
			t.Errorf("%+v: clean from %+.3f, by trying from %+.3f; fits %v", c, got.Lowest, clean, got.Fits)
		}
		for _, row := range p.Rows {
			if want := snr(float64(row.Placement)); math.Abs(float64(row.SNR)-want) > 1e-6 {
				t.Errorf("%+v at %+.2f: %v dB, want %.3f", c, row.Placement, row.SNR, want)
			}
			if row.Fits != (row.Placement >= got.Lowest-1e-6 && row.Placement <= got.Highest+1e-6) {
				t.Errorf("%+v at %+.2f: fits is %v between %+.2f and %+.2f", c, row.Placement, row.Fits, got.Lowest, got.Highest)
			}
		}
	}
}

// A scene that is wider than the camera holds is told by how much, and what has to give.
func TestSceneTooWide(t *testing.T) {
	p := Make(Request{Reading: reading(t, "slog3"), Scene: Scene{-6, 6}, Sensors: []Sensor{camera(800, 3e-4, 2e-5, 6)}})
	c := p.Choices[0]
	if c.Fits || math.Abs(float64(c.Short-(c.Lowest-c.Highest))) > 1e-9 || c.Short < 0.5 {
		t.Errorf("%+v", c)
	}
	for _, part := range []string{c.Short.Plain(1) + " wider", "fill", "off the highlights", "ISO move both"} {
		if !strings.Contains(p.Advice, part) {
			t.Errorf("it does not say %q: %s", part, p.Advice)
		}
	}
	for _, row := range p.Rows {
		if row.Fits {
			t.Errorf("placement %+.1f is said to fit", row.Placement)
		}
	}
}

// At equal light, gain alone moves grey and leaves the SNR of a sensor with noise before gain as it is; a
// second base ISO with less noise is the cleanest, and of ISOs as clean the lowest keeps most highlights.
func TestNight(t *testing.T) {
	two := []Sensor{camera(800, 3e-4, 2e-5, 6), camera(1600, 6e-4, 4e-5, 7), camera(6400, 2.4e-3, 1.6e-4, 9),
		camera(12800, 4e-4, 3.2e-4, 6), camera(25600, 8e-4, 6.4e-4, 7)}
	p := Make(Request{Reading: reading(t, "slog3"), Scene: Scene{-3, 3}, Sensors: two, Meter: 6400})
	n := p.Night
	if n == nil || n.Best == nil || *n.Best != 12800 || len(n.Rows) != 5 {
		t.Fatalf("%+v", n)
	}
	for i, row := range n.Rows {
		want := curve.Stops(math.Log2(float64(two[i].ISO) / 6400))
		if math.Abs(float64(row.Placement-want)) > 1e-9 {
			t.Errorf("ISO %d: placement %+.3f, want %+.3f", two[i].ISO, row.Placement, want)
		}
	}
	if d := n.Rows[1].SNR - n.Rows[0].SNR; math.Abs(float64(d)) > 1e-6 {
		t.Errorf("gain alone changes the SNR by %v", d)
	}
	p = Make(Request{Reading: reading(t, "slog3"), Scene: Scene{-3, 3}, Sensors: two[:3]})
	if *p.Night.Best != 800 || p.Night.Meter != 6400 {
		t.Errorf("of ISOs as clean, %d is chosen at meter %v", *p.Night.Best, p.Night.Meter)
	}
}

// A test clip gives the scene, the light and the sensor; what it clips is said.
func TestOfClip(t *testing.T) {
	c := &clipping.Result{Brightest: 4.5, Headroom: 1.5, Ceiling: clipping.Ceiling{Recorded: 6, Origin: clipping.Measured}}
	test := Test{ISO: 800, Grey: 1, Dark: -4, Clipping: c}
	if s, limited := test.Scene(); s != (Scene{-5, 3.5}) || limited != "" {
		t.Errorf("%v, %q", s, limited)
	}
	if m := test.Meter(); m != 400 {
		t.Errorf("a stop over at ISO 800 is the light for which a meter asks ISO 400, not %v", m)
	}
	c.Headroom = curve.Unknown[curve.Stops]()
	if s, limited := test.Scene(); s.High != 5 || !strings.Contains(limited, "reaches further") {
		t.Errorf("%v, %q", s, limited)
	}
}
