package chart

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"gonum.org/v1/plot/plotter"

	"stopledger/analyze/advise"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

func value(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

var (
	disc     = regexp.MustCompile(`M([-\d.]+),([-\d.]+)A3,3[^"]*" style="fill:var\(--(\w+)\)"`)
	tickAt   = regexp.MustCompile(`M([-\d.]+),([-\d.]+)L([-\d.]+),([-\d.]+)" style="fill:none;stroke:var\(--line\);`)
	hatched  = regexp.MustCompile(`M([-\d.]+),[-\d.]+L([-\d.]+),[^"]*" style="fill:url\(#([\w-]+)\)`)
	anyColor = regexp.MustCompile(`(?:fill|stroke):(#[0-9A-Fa-f]+|[a-z]+)`)
)

// discs are the centres of the round dots of an ink, in pixels.
func discs(t *testing.T, d Drawing, ink string) (points plotter.XYs) {
	for _, m := range disc.FindAllStringSubmatch(string(d.SVG), -1) {
		if m[3] == ink {
			points = append(points, plotter.XY{X: value(t, m[1]) - 3, Y: value(t, m[2])})
		}
	}
	return points
}

// tickMarks are where the short ticks of the x axis stand, in pixels.
func tickMarks(t *testing.T, d Drawing) (x []float64) {
	for _, m := range tickAt.FindAllStringSubmatch(string(d.SVG), -1) {
		if height := math.Abs(value(t, m[4]) - value(t, m[2])); m[1] == m[3] && height <= 4.01 {
			x = append(x, value(t, m[1]))
		}
	}
	return x
}

// drawnOf are the drawings of all clips of the invented shoot.
func drawnOf(t *testing.T) (all []Drawing) {
	doc := reporttest.Shoot(t)
	for i := range doc.Clips {
		all = append(all, OfClip(&doc.Clips[i])...)
	}
	return all
}

// A plot is well-formed XML whose colours are all the page's, and whose title and description are
// those that name it.
func TestPlotsAreWellFormed(t *testing.T) {
	for _, d := range drawnOf(t) {
		in := xml.NewDecoder(strings.NewReader(string(d.SVG)))
		names := map[string]string{}
		for {
			token, err := in.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", d.ID, err)
			}
			start, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			for _, a := range start.Attr {
				if a.Name.Local == "id" || a.Name.Local == "aria-labelledby" {
					names[start.Name.Local] = a.Value
				}
			}
		}
		if names["svg"] != names["title"]+" "+names["desc"] || names["title"] != d.ID+"-t" {
			t.Errorf("%s is named by %q", d.ID, names)
		}
		for _, m := range anyColor.FindAllStringSubmatch(string(d.SVG), -1) {
			if !slices.Contains([]string{"none", "var", "url"}, m[1]) {
				t.Errorf("%s has a colour of its own: %s", d.ID, m[0])
			}
		}
	}
}

// The same numbers give the same bytes, also where many are drawn at once.
func TestPlotsAreTheSameTwice(t *testing.T) {
	first := drawnOf(t)
	var all sync.WaitGroup
	for range 3 {
		all.Go(func() {
			for i, d := range drawnOf(t) {
				if d.SVG != first[i].SVG || d.Says != first[i].Says {
					t.Errorf("%s differs when it is drawn again", d.ID)
				}
			}
		})
	}
	all.Wait()
}

// What a drawing says cannot end its description: it is text there.
func TestWordsOfAPlotStayText(t *testing.T) {
	d := Drawing{ID: "a", Title: `</title><script>"&`, Says: "</desc><b>"}
	d.draw(newPlot("<x>", "&y"))
	if s := string(d.SVG); strings.Contains(s, "<script") || strings.Contains(s, "<b>") || strings.Contains(s, "<x>") ||
		!strings.Contains(s, "&lt;script&gt;") {
		t.Errorf("markup in words is markup in the plot: %s", s[:300])
	}
}

// Each measured tone has a dot, and all dots stand by one scale, that of the axis: from one whole
// stop to the next are as many pixels as the ticks are apart.
func TestDotsStandByTheTicks(t *testing.T) {
	doc := reporttest.Shoot(t)
	for i := range doc.Clips[:4] {
		c := &doc.Clips[i]
		d, ok := snr(c)
		points, _, _ := snrPoints(c)
		if !ok {
			continue
		}
		got, ticks := discs(t, d, "main"), tickMarks(t, d)
		if len(got) != len(points) || len(ticks) < 2 {
			t.Fatalf("%s: %d dots for %d tones, %d ticks", c.Path, len(got), len(points), len(ticks))
		}
		low := points[0].X
		after, nominal := gradedLines(c, true)
		for _, p := range slices.Concat(points, after, nominal) {
			low = min(low, p.X)
		}
		first := math.Ceil(low - 0.3) // the axis begins 0.3 stops before the first tone
		perStop := (ticks[len(ticks)-1] - ticks[0]) / float64(len(ticks)-1)
		for k, p := range points {
			if want := ticks[0] + (p.X-first)*perStop; math.Abs(got[k].X-want) > 0.2 {
				t.Errorf("%s: the dot of %g stops is at %g, the ticks want %g", c.Path, p.X, got[k].X, want)
			}
			for j, q := range points {
				if (p.Y-q.Y)*(got[k].Y-got[j].Y) < 0 {
					t.Errorf("%s: %g dB stands at %g, %g dB at %g", c.Path, p.Y, got[k].Y, q.Y, got[j].Y)
				}
			}
		}
	}
}

// The hatches begin where the floor and the ceiling are, by the ticks of the axis; where neither is
// known, or they lie beyond the axis, nothing is hatched.
func TestHatchesBeginAtFloorAndCeiling(t *testing.T) {
	unknown := curve.Unknown[curve.Stops]()
	for _, tc := range []struct{ floor, ceiling curve.Stops }{
		{-7.3, 5.6}, {-4, 2.25}, {unknown, 5}, {-6.5, unknown}, {unknown, unknown}, {-40, 40},
	} {
		c := &report.Clip{Histogram: levels.Histogram{First: -10, Step: 0.25, Shares: make([]curve.Share, 80)}}
		for i := 20; i < 60; i++ {
			c.Histogram.Shares[i] = 0.025
		}
		c.Noise.Floor, c.Highlights.Ceiling.Recorded = tc.floor, tc.ceiling
		d, ok := histogram(c)
		if !ok {
			t.Fatal("nothing is drawn")
		}
		low, high := histogramRange(c)
		ticks := tickMarks(t, d)
		at := func(stops curve.Stops) float64 {
			return ticks[0] + (float64(stops)-low)*(ticks[len(ticks)-1]-ticks[0])/(high-low)
		}
		want := map[string]float64{}
		if float64(tc.floor) > low {
			want["under-floor"] = at(tc.floor)
		}
		if float64(tc.ceiling) < high {
			want["over-ceiling"] = at(tc.ceiling)
		}
		for _, m := range hatched.FindAllStringSubmatch(string(d.SVG), -1) {
			edge := value(t, m[1])
			if m[3] == "under-floor" {
				edge = value(t, m[2])
			}
			if wanted, ok := want[m[3]]; !ok || math.Abs(edge-wanted) > 0.2 {
				t.Errorf("floor %v, ceiling %v: %s begins at %g, want %v", tc.floor, tc.ceiling, m[3], edge, want)
			}
			delete(want, m[3])
		}
		if len(want) > 0 {
			t.Errorf("floor %v, ceiling %v: not hatched: %v", tc.floor, tc.ceiling, want)
		}
	}
}

// The axis of a histogram spans whole stops, holds all that is recorded, the floor and the ceiling,
// and never reaches beyond twelve stops.
func TestHistogramRangeHoldsAll(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 71))
		c := &report.Clip{Histogram: levels.Histogram{First: -10, Step: 0.25, Shares: make([]curve.Share, 80)}}
		c.Noise.Floor = curve.Stops(-14 + 12*random.Float64())
		c.Highlights.Ceiling.Recorded = curve.Stops(16 * random.Float64())
		need := []float64{float64(c.Noise.Floor), float64(c.Highlights.Ceiling.Recorded), 0}
		for range random.IntN(5) {
			bin := random.IntN(80)
			c.Histogram.Shares[bin] = 0.1
			need = append(need, -10+0.25*float64(bin), -10+0.25*float64(bin+1))
		}
		low, high := histogramRange(c)
		if low != math.Trunc(low) || high != math.Trunc(high) || low < -12 || high > 12 || high < 1 {
			t.Errorf("seed %d: %g to %g", seed, low, high)
		}
		for _, v := range need {
			if v = min(max(v, -12), 12); v < low || v > high {
				t.Errorf("seed %d: %g lies beyond %g to %g", seed, v, low, high)
			}
		}
	}
}

// The table of a histogram sums its bins by whole stops, every stop from the darkest to the
// brightest that has any, and loses none.
func TestHistogramTableSums(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 72))
		h := &levels.Histogram{First: curve.Stops(-10 + random.IntN(4)), Step: 0.25, Shares: make([]curve.Share, 64)}
		want := map[int]float64{}
		for range 1 + random.IntN(12) {
			bin, share := random.IntN(64), 0.01+0.1*random.Float64()
			h.Shares[bin] += curve.Share(share)
			want[int(h.First)+bin/4] += share
		}
		rows := histogramTable(h).Rows
		low, high := math.MaxInt, math.MinInt
		for stop := range want {
			low, high = min(low, stop), max(high, stop)
		}
		if len(rows) != high-low+1 {
			t.Fatalf("seed %d: %d rows for %d to %d stops", seed, len(rows), low, high)
		}
		for i, row := range rows {
			stop := low + i
			if !strings.HasPrefix(strings.ReplaceAll(row[0], "−", "-"), strconv.Itoa(stop)) && stop < 0 ||
				strings.ReplaceAll(row[1], "\u00a0", " ") != curve.Share(want[stop]).String() {
				t.Errorf("seed %d: %q, want %v at %d stops", seed, row, curve.Share(want[stop]), stop)
			}
		}
	}
}

// Ticks over any axis: a few, at even distances of 1, 2 or 5 times a power of ten, labelled with
// what they stand at, no two alike.
func TestEvenTicksOverAnyAxis(t *testing.T) {
	for seed := range uint64(500) {
		random := rand.New(rand.NewPCG(seed, 73))
		span := math.Pow(10, -2+5*random.Float64())
		low := span * 2 * (random.Float64() - 0.5)
		ticks := evenTicks{signed: seed%2 == 0}.Ticks(low, low+span)
		if len(ticks) < 2 || len(ticks) > 9 {
			t.Errorf("%g to %g: %d ticks", low, low+span, len(ticks))
			continue
		}
		step, seen := ticks[1].Value-ticks[0].Value, map[string]bool{}
		mantissa := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if !slices.ContainsFunc([]float64{1, 2, 2.5, 5}, func(m float64) bool { return math.Abs(m-mantissa) < 1e-6 }) {
			t.Errorf("%g to %g: steps of %g", low, low+span, step)
		}
		for i, tick := range ticks {
			label := strings.ReplaceAll(tick.Label, "−", "-")
			if math.Abs(value(t, label)-tick.Value) > 1e-6*span || seen[label] {
				t.Errorf("%g to %g: the tick at %g says %q", low, low+span, tick.Value, tick.Label)
			}
			seen[label] = true
			if want := ticks[0].Value + float64(i)*step; math.Abs(tick.Value-want) > 1e-6*span {
				t.Errorf("%g to %g: a tick at %g, want %g", low, low+span, tick.Value, want)
			}
		}
	}
}

// Stops have a tick each, labelled each or every second; powers of ten a label each.
func TestWholeTicksOverAnyAxis(t *testing.T) {
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 74))
		low := -12 + 12*random.Float64()
		high := low + 1 + 20*random.Float64()
		stops, powers := stopTicks{}.Ticks(low, high), powerTicks{}.Ticks(low, high)
		want := int(math.Floor(high)) - int(math.Ceil(low)) + 1
		if len(stops) != want || len(powers) != want {
			t.Fatalf("%g to %g: %d and %d ticks, want %d", low, high, len(stops), len(powers), want)
		}
		for i, tick := range stops {
			at := int(math.Ceil(low)) + i
			labelled := high-low <= 10 || at%2 == 0
			if tick.Value != float64(at) || powers[i].Value != float64(at) || (tick.Label != "") != labelled {
				t.Errorf("%g to %g: tick %d at %g, labelled %q", low, high, i, tick.Value, tick.Label)
			}
			if labelled && value(t, strings.ReplaceAll(tick.Label, "−", "-")) != float64(at) {
				t.Errorf("the tick at %d says %q", at, tick.Label)
			}
		}
	}
}

// Random tones: the photon transfer curve has each at log10 of its variance, and the fitted line is
// the model's variance at every quarter stop, rising with the light.
func TestTransferAgainstItsFormula(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 75))
		m := &noise.Model{Read: curve.Light(1e-4 + 1e-3*random.Float64()), Shot: curve.Light(1e-6 + 1e-4*random.Float64())}
		c := &report.Clip{Noise: report.Noise{}}
		c.Noise.Model = m
		for range 2 + random.IntN(12) {
			c.Noise.Tones = append(c.Noise.Tones, report.Tone{Tone: noise.Tone{Recorded: curve.Stops(-8 + 12*random.Float64()),
				SigmaLinear: curve.Light(1e-4 + 1e-2*random.Float64())}})
		}
		points, table := transferPoints(c)
		if len(points) != len(c.Noise.Tones) || len(table.Rows) != len(points) {
			t.Fatalf("seed %d: %d points and %d rows for %d tones", seed, len(points), len(table.Rows), len(c.Noise.Tones))
		}
		for i, tone := range c.Noise.Tones {
			variance := float64(tone.SigmaLinear) * float64(tone.SigmaLinear)
			if points[i].X != float64(tone.Recorded) || math.Abs(points[i].Y-math.Log10(variance)) > 1e-9 {
				t.Errorf("seed %d: %v for a sigma of %v at %v", seed, points[i], tone.SigmaLinear, tone.Recorded)
			}
		}
		before := math.Inf(-1)
		for _, p := range transferFit(m, -8, 4) {
			want := math.Log10(float64(m.Read)*float64(m.Read) + float64(m.Shot)*0.18*math.Exp2(p.X))
			if math.Abs(p.Y-want) > 1e-9 || p.Y < before {
				t.Errorf("seed %d: the line is at %g at %g stops, want %g", seed, p.Y, p.X, want)
			}
			before = p.Y
		}
	}
}

// A steady clip looks steady, and one that drifts fills the plot: grey's axis spans half a stop at
// least, around the middle of the series.
func TestSteadyGreyLooksSteady(t *testing.T) {
	for _, over := range []float64{0, 0.02, 0.3, 2} {
		c := &report.Clip{Placement: &placement.Placement{}}
		for i := range 9 {
			c.Placement.Series = append(c.Placement.Series, placement.At{T: curve.Seconds(i),
				Stops: curve.Stops(1 + over*float64(i)/8)})
		}
		d, ok := placementOverTime(c)
		dots := discs(t, d, "other")
		if !ok || len(dots) != 9 || len(d.Table.Rows) != 9 {
			t.Fatalf("%g stops: drawn %v, %d dots, %d rows", over, ok, len(dots), len(d.Table.Rows))
		}
		rise, share := dots[8].Y-dots[0].Y, over/max(1.4*over, 0.5)
		if math.Abs(rise-share*plotHeight*0.86) > 0.06*plotHeight { // axis and labels take about a seventh
			t.Errorf("a drift of %g stops rises by %g of %d pixels", over, rise, plotHeight)
		}
	}
}

// Takes past the fourth are drawn with the first's shapes again; takes without figures are left out,
// and the letters stay those of the list.
func TestManyTakes(t *testing.T) {
	var takes []advise.Take
	for i := range 7 {
		take := advise.Take{Path: "day/take" + strconv.Itoa(i) + ".mov"}
		for tone := -4; tone <= 0 && i != 2; tone++ {
			scene, snr := curve.Stops(tone), curve.Amount(30+3*tone+i)
			take.Figures = append(take.Figures, advise.Figure{Name: "snr", Unit: "dB", SceneStops: &scene,
				Value: &advise.Estimate{Value: snr, Low: snr - 1, High: snr + 1}})
		}
		takes = append(takes, take)
	}
	d := OfTakes(takes)
	var words, shapes []string
	for _, k := range d.Keys {
		words, shapes = append(words, k.Words), append(shapes, k.Shape)
	}
	wantWords := []string{"A take0.mov", "B take1.mov", "D take3.mov", "E take4.mov", "F take5.mov", "G take6.mov"}
	wantShapes := []string{"disc", "square", "saltire", "disc", "square", "triangle"}
	if !slices.Equal(words, wantWords) || !slices.Equal(shapes, wantShapes) {
		t.Errorf("keys %q with shapes %q", words, shapes)
	}
	if got := len(discs(t, *d, "main")); got != 10 {
		t.Errorf("%d discs for two takes of five tones", got)
	}
	if OfTakes(takes[1:3]) != nil {
		t.Error("one take with figures is compared with nothing")
	}
}

// The bars' extent is that of their ends, not of their middles.
func TestExtentOfBars(t *testing.T) {
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 76))
		var bars spans
		least, most := math.Inf(1), math.Inf(-1)
		for i := range 1 + random.IntN(9) {
			low := random.NormFloat64()
			high := low + random.Float64()
			bars.add(float64(i), low, high)
			least, most = min(least, low), max(most, high)
		}
		x0, x1, y0, y1 := bars.DataRange()
		if x0 != 0 || x1 != float64(len(bars.at)-1) || y0 != least || y1 != most {
			t.Errorf("seed %d: %g to %g by %g to %g", seed, x0, x1, y0, y1)
		}
	}
}

// Cells of tables are printable whatever a name holds, and typeset.
func TestCellsOfTablesArePrintable(t *testing.T) {
	g := Grid{Head: []string{"a"}, Rows: [][]string{{"\x1b[31m-4 stops"}, {"a\nb"}}}.Typeset()
	for _, row := range g.Rows {
		if strings.ContainsAny(row[0], "\x1b\n") {
			t.Errorf("%q", row[0])
		}
	}
	if !strings.HasSuffix(g.Rows[0][0], "4\u00a0stops") {
		t.Errorf("%q is not typeset", g.Rows[0][0])
	}
}
