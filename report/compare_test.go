package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strings"
	"testing"
)

// rounding is how far sums of a few numbers near one may lie apart in their last bits.
const rounding = 1e-12

func near(a, b float64) bool { return math.Abs(a-b) <= rounding*math.Max(1, math.Abs(b)) }

func estimate(v, half float64) *Estimate {
	return &Estimate{Value: v, Low: ptr(v - half), High: ptr(v + half)}
}

func TestDifference(t *testing.T) {
	for _, test := range []struct {
		name           string
		a, b           *Estimate
		value, half    float64 // half NaN: no interval
		told, nothings bool
	}{
		{"told", estimate(1.65, 0.03), estimate(0.02, 0.04), 1.63, 0.05, true, false},
		{"interval holds zero", estimate(20, 0.3), estimate(19.6, 0.4), 0.4, 0.5, false, false},
		{"below zero", estimate(19, 0.3), estimate(20, 0.4), -1, 0.5, true, false},
		{"no interval", &Estimate{Value: 5.9}, estimate(5.8, 0.1), 0.1, math.NaN(), true, false},
		{"the same without interval", &Estimate{Value: 5.9}, &Estimate{Value: 5.9}, 0, math.NaN(), false, false},
		{"not measured", nil, estimate(1, 1), 0, 0, false, true},
		{"not measured in the first", estimate(1, 1), nil, 0, 0, false, true},
	} {
		d := difference(test.a, test.b)
		if test.nothings {
			if d != nil {
				t.Errorf("%s: %v", test.name, d)
			}
			continue
		}
		if !near(d.Value, test.value) || d.Told != test.told {
			t.Errorf("%s: %g told %v, want %g told %v", test.name, d.Value, d.Told, test.value, test.told)
		}
		if (d.Low == nil) != math.IsNaN(test.half) {
			t.Errorf("%s: interval %v..%v", test.name, d.Low, d.High)
		} else if d.Low != nil && (!near(d.Value-*d.Low, test.half) || !near(*d.High-d.Value, test.half)) {
			t.Errorf("%s: %g..%g, want %g to each side", test.name, *d.Low, *d.High, test.half)
		}
	}
	lopsided := difference(&Estimate{Value: 5, Low: ptr(4), High: ptr(8)}, &Estimate{Value: 1, Low: ptr(-3), High: ptr(1)})
	if *lopsided.Low != 4-1 || *lopsided.High != 4+5 {
		t.Errorf("lopsided intervals give %g..%g, want 3..9: sqrt(1+0) below, sqrt(9+16) above", *lopsided.Low, *lopsided.High)
	}
}

func TestToneSNR(t *testing.T) {
	steps := []Tone{tone(-5, 0, 10, 1), tone(-4, 0, 20, 0.5), tone(-2, 0, 30, 0.1), tone(-1.5, 0, 33, 0.1)}
	model := &Model{Read: 0.001, Shot: 2e-5, ReadError: ptr(0), ShotError: ptr(2e-6)}
	grey := &Placement{Stops: 1}
	bare := []Tone{steps[0], {SceneStops: ptr(-4), SNR: ptr(20)}, {SNR: ptr(3)}, {SceneStops: ptr(-4.5)}}
	for _, test := range []struct {
		name            string
		clip            Clip
		scene           float64
		want, low, high float64 // want NaN: nothing; low NaN: no interval
	}{
		{"on a tone", Clip{Noise: Noise{Tones: steps}}, -4, 20, 19.5, 20.5},
		{"between tones", Clip{Noise: Noise{Tones: steps}}, -4.25, 17.5, 16.875, 18.125},
		{"tones in any order", Clip{Noise: Noise{Tones: []Tone{steps[1], steps[3], steps[0]}}}, -4.25, 17.5, 16.875, 18.125},
		{"over a gap without model", Clip{Noise: Noise{Tones: steps}}, -3, math.NaN(), 0, 0},
		{"below all tones", Clip{Noise: Noise{Tones: steps}}, -6, math.NaN(), 0, 0},
		{"a tone without interval", Clip{Noise: Noise{Tones: bare}}, -4.5, 15, math.NaN(), 0},
		{"suppressed", Clip{Noise: Noise{Tones: steps, Model: model, Suppressed: true}, Placement: grey}, -4, math.NaN(), 0, 0},
		{"model without grey", Clip{Noise: Noise{Model: model}}, -3, math.NaN(), 0, 0},
		// Light of scene -3 recorded a stop over: 0.18/4 = 0.045; variance 1e-6 + 9e-7 = 1.9e-6;
		// 20 log10(0.045) - 10 log10(1.9e-6) = 30.2767 dB. The shot error moves the variance by
		// 1.96 x 0.045 x 2e-6 = 1.764e-7.
		{"model", Clip{Noise: Noise{Tones: steps, Model: model}, Placement: grey}, -3, 30.27671, 29.89114, 30.69988},
		{"model with errors as large as itself", Clip{Noise: Noise{Model: &Model{Read: 0.001, ReadError: ptr(0.01), ShotError: ptr(0)}}, Placement: grey}, -3,
			20*math.Log10(0.045) + 60, math.NaN(), 0},
		{"model of no noise", Clip{Noise: Noise{Model: &Model{}}, Placement: grey}, -3, math.NaN(), 0, 0},
	} {
		const printed = 5e-5 // the expected values are given to four decimals
		got := toneSNR(test.clip, test.scene)
		switch {
		case math.IsNaN(test.want):
			if got != nil {
				t.Errorf("%s: %v, want nothing", test.name, got)
			}
		case got == nil || math.Abs(got.Value-test.want) > printed:
			t.Errorf("%s: %+v, want %g", test.name, got, test.want)
		case math.IsNaN(test.low) != (got.Low == nil):
			t.Errorf("%s: low end %v, want %g", test.name, got.Low, test.low)
		case got.Low != nil && (math.Abs(*got.Low-test.low) > printed || math.Abs(*got.High-test.high) > printed):
			t.Errorf("%s: %g..%g, want %g..%g", test.name, *got.Low, *got.High, test.low, test.high)
		}
	}
}

// judged is a take by its SNR at scene -4 stops (NaN for none), half its interval, and the share
// it loses to the ceiling.
func judged(path string, snr, half, lost float64) Take {
	t := Take{Path: path, Figures: []Figure{
		{Name: "snr", SceneStops: ptr(-4)}, {Name: "clipped_any", Value: &Estimate{Value: lost}}}}
	if !math.IsNaN(snr) {
		t.Figures[0].Value = estimate(snr, half)
	}
	return t
}

func TestRecommendation(t *testing.T) {
	none := math.NaN()
	for _, test := range []struct {
		name   string
		takes  []Take
		take   int // from 1; 0 for none
		reason string
	}{
		{"one take", []Take{judged("a.mov", 20, 1, 0)}, 0, "There are no two takes to compare."},
		{"cleaner and clips no more", []Take{judged("d/a.mov", 20, 0.3, 0), judged("d/b.mov", 29, 0.4, 0)}, 2,
			"Use B (b.mov): it is 9 dB cleaner at scene -4 stops and loses nothing to the ceiling."},
		{"cleaner and clips hardly more", []Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, 0.4, 0.004)}, 2,
			"Use B (b.mov): it is 9 dB cleaner at scene -4 stops and loses 0.4 % of the frame to the ceiling, hardly more than the other."},
		{"cleaner but clips", []Take{judged("a.mov", 20, 0.3, 0.001), judged("b.mov", 29, 0.4, 0.041)}, 0,
			"B (b.mov) is 9 dB cleaner at scene -4 stops but loses 4.1 % of the frame to the ceiling, where A (a.mov) loses 0.1 %: " +
				"use B (b.mov) for its shadows, or A (a.mov) if what clips matters."},
		{"cleaner and clips less", []Take{judged("a.mov", 30, 0.3, 0.001), judged("b.mov", 20, 0.4, 0.041)}, 1,
			"Use A (a.mov): it is 10 dB cleaner at scene -4 stops and loses 0.1 % of the frame to the ceiling, no more than the other."},
		{"alike in both", []Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 20.4, 0.4, 0.001)}, 0,
			"No take is better: the shadows cannot be told apart, and they lose as much of the frame to the ceiling."},
		{"told but not worth it", []Take{judged("a.mov", 20, 0.01, 0), judged("b.mov", 20.9, 0.01, 0)}, 0,
			"No take is better: the shadows cannot be told apart, and they lose as much of the frame to the ceiling."},
		{"alike in the shadows", []Take{judged("a.mov", 20, 0.3, 0.2), judged("b.mov", 20.4, 0.4, 0.001)}, 2,
			"Use B (b.mov): it loses the least of the frame to the ceiling, 0.1 %; the shadows cannot be told apart."},
		{"shadows of one not measured", []Take{judged("a.mov", 20, 0.3, 0.2), judged("b.mov", none, 0, 0)}, 2,
			"Use B (b.mov): it loses the least of the frame to the ceiling, 0 %; the shadows could not be compared."},
		{"nothing measured", []Take{judged("a.mov", none, 0, 0), judged("b.mov", none, 0, 0)}, 0,
			"No take is better: the shadows could not be compared, and they lose as much of the frame to the ceiling."},
		{"three, the middle as clean as the last and keeps more",
			[]Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, 0.4, 0), judged("c.mov", 29.3, 0.4, 0.1)}, 2,
			"Use B (b.mov): it is 9 dB cleaner than A (a.mov) at scene -4 stops and loses nothing to the ceiling."},
		{"three, a trade", []Take{judged("a.mov", 20, 0.3, 0), judged("b.mov", 25, 0.4, 0.02), judged("c.mov", 30, 0.4, 0.1)}, 0,
			"C (c.mov) is 10 dB cleaner than A (a.mov) at scene -4 stops but loses 10 % of the frame to the ceiling, where A (a.mov) loses 0 %: " +
				"use C (c.mov) for its shadows, or A (a.mov) if what clips matters."},
	} {
		got := recommend(test.takes)
		take := 0
		if got.Take != nil {
			take = *got.Take
		}
		if take != test.take || got.Reason != test.reason {
			t.Errorf("%s: take %d, want %d\n got %s\nwant %s", test.name, take, test.take, got.Reason, test.reason)
		}
		if (got.Path == nil) != (take == 0) || got.Path != nil && *got.Path != test.takes[take-1].Path {
			t.Errorf("%s: path %v of take %d", test.name, got.Path, take)
		}
	}
}

// Takes recommended in another order are the same takes.
func TestRecommendationGoesByNoOrder(t *testing.T) {
	a, b := judged("a.mov", 20, 0.3, 0), judged("b.mov", 29, 0.4, 0.001)
	if x, y := recommend([]Take{a, b}), recommend([]Take{b, a}); *x.Path != "b.mov" || *y.Path != "b.mov" {
		t.Errorf("%s, then %s", *x.Path, *y.Path)
	}
}

func twoTakes() Document {
	doc := day()
	doc.Clips = []Clip{nominalClip(), overClip(), skyClip()}
	return doc
}

func TestComparison(t *testing.T) {
	c := Compare(twoTakes())
	var text, table, js bytes.Buffer
	for _, width := range []int{0, 100, 72} {
		fmt.Fprintf(&text, "=== width %d\n", width)
		if err := WriteComparisonText(&text, c, Layout{Width: width}); err != nil {
			t.Fatal(err)
		}
	}
	golden(t, "compare.txt", text.String())
	if err := WriteComparisonCSV(&table, c); err != nil {
		t.Fatal(err)
	}
	golden(t, "compare.csv", strings.ReplaceAll(table.String(), "\r\n", "\n"))
	if err := WriteComparisonJSON(&js, c); err != nil {
		t.Fatal(err)
	}
	golden(t, "compare.json", js.String())
	var back Comparison
	strictly(t, js.String(), &back)
	if back.Schema != "stopledger/compare/1" || len(back.Takes) != 3 {
		t.Errorf("schema %q, %d takes", back.Schema, len(back.Takes))
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(rows) != 1+3*len(c.Takes[0].Figures) {
		t.Errorf("%v, %d rows", err, len(rows))
	}
}

// The first take is compared with nothing, and a take with itself differs by nothing.
func TestComparedWithItself(t *testing.T) {
	doc := day()
	doc.Clips = []Clip{overClip(), overClip()}
	c := Compare(doc)
	for i, f := range c.Takes[1].Figures {
		if c.Takes[0].Figures[i].Difference != nil {
			t.Errorf("%s of the first take has a difference", f.Name)
		}
		if f.Value != nil && (f.Difference.Told || f.Difference.Value != 0 || figureDifference(f) != "~") {
			t.Errorf("%s differs from itself: %+v", f.Name, f.Difference)
		}
	}
	if c.Recommendation.Take != nil {
		t.Error(c.Recommendation.Reason)
	}
}

func TestLetter(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 701: "ZZ", 702: "AAA"} {
		if got := letter(i); got != want {
			t.Errorf("%d: got %s, want %s", i, got, want)
		}
	}
}
