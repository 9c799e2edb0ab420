package chart

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"stopledger/analyze/advise"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

func ids(drawings []Drawing) string {
	var names []string
	for _, d := range drawings {
		names = append(names, d.ID)
	}
	return strings.Join(names, " ")
}

func TestPlotsAreComplete(t *testing.T) {
	doc := reporttest.Shoot(t)
	for i := range doc.Clips[:4] {
		drawings := OfClip(&doc.Clips[i])
		if got := ids(drawings); !strings.HasPrefix(got, "histogram snr transfer") {
			t.Errorf("%s has plots %s", doc.Clips[i].Path, got)
		}
		for _, d := range drawings {
			svg := string(d.SVG)
			for _, bad := range []string{"NaN", "Inf", "#0102", "Liberation"} {
				if strings.Contains(svg, bad) {
					t.Errorf("plot %s of %s holds %q", d.ID, doc.Clips[i].Path, bad)
				}
			}
			if len(d.Table.Rows) == 0 || d.Says == "" || !strings.Contains(svg, "<title") || !strings.Contains(svg, "<desc") {
				t.Errorf("plot %s of %s has no numbers or no description", d.ID, doc.Clips[i].Path)
			}
			for _, row := range d.Table.Rows {
				if len(row) != len(d.Table.Head) {
					t.Errorf("plot %s of %s: a row of %d cells under %d heads", d.ID, doc.Clips[i].Path, len(row), len(d.Table.Head))
				}
			}
		}
	}
	if got := ids(OfClip(&doc.Clips[4])); got != "" {
		t.Errorf("a clip without numbers has plots %s", got)
	}
}

// Whatever is not known, or not finite, no plot holds what is no number; most are left out.
func TestPlotsOfUnknown(t *testing.T) {
	noNumber := regexp.MustCompile(`NaN|\bInf\b|%!`)
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0} {
		for _, c := range reporttest.Unknown(v).Clips {
			for _, d := range OfClip(&c) {
				if bad := noNumber.FindString(string(d.SVG) + d.Says); bad != "" {
					t.Errorf("with %g plot %s holds %s", v, d.ID, bad)
				}
				if v != 0 {
					t.Errorf("with %g there is a plot %s", v, d.ID)
				}
			}
		}
	}
	// A known histogram with nothing else known.
	doc := reporttest.Unknown(math.NaN())
	c := &doc.Clips[0]
	c.Histogram = levels.Histogram{First: -4, Step: 0.5, Shares: []curve.Share{0.1, 0.2, curve.Share(math.NaN()), 0.3}}
	d, ok := histogram(c)
	if bad := noNumber.FindString(string(d.SVG) + d.Says); !ok || bad != "" {
		t.Errorf("a histogram alone: drawn %v, holds %s", ok, bad)
	}
}

// The plotted points are the document's numbers, and those that are not known are left out.
func TestSNRPoints(t *testing.T) {
	tone := func(scene, recorded, snr, low, high float64) report.Tone {
		return report.Tone{Scene: curve.Stops(scene), Tone: noise.Tone{Recorded: curve.Stops(recorded),
			SNR: curve.Decibels(snr), Low: curve.Decibels(low), High: curve.Decibels(high)}}
	}
	nan := math.NaN()
	c := &report.Clip{Noise: report.Noise{Tones: []report.Tone{
		tone(-5, -4, 12, 11, 13), tone(-4, -3, nan, nan, nan), tone(-3, -2, 24, nan, 25), tone(nan, -1, 30, 29, 31)}}}
	points, bars, scene := snrPoints(c)
	if want := (plotter.XYs{{X: -5, Y: 12}, {X: -3, Y: 24}}); !scene || !equal(points, want) {
		t.Errorf("by scene: %v, want %v", points, want)
	}
	if len(bars.at) != 1 || bars.at[0] != -5 || bars.low[0] != 11 || bars.high[0] != 13 {
		t.Errorf("intervals: %v", bars)
	}
	for i := range c.Noise.Tones {
		c.Noise.Tones[i].Scene = curve.Stops(nan)
	}
	points, _, scene = snrPoints(c)
	if want := (plotter.XYs{{X: -4, Y: 12}, {X: -2, Y: 24}, {X: -1, Y: 30}}); scene || !equal(points, want) {
		t.Errorf("by recorded stops: %v, want %v", points, want)
	}
}

func equal(a, b plotter.XYs) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// The lines after the correction are the document's graded tones, of the change that is advised.
func TestGradedLines(t *testing.T) {
	c := &report.Clip{Advice: advise.Advice{Action: advise.Pull, Stops: 1.31}}
	c.Noise.Graded = []advise.Graded{
		{Stops: 0, Tones: []advise.GradedTone{{Scene: -4, SNR: 1, Nominal: 1}}},
		{Stops: -1.31, Tones: []advise.GradedTone{{Scene: -4, SNR: 27, Nominal: 20}, {Scene: -3,
			SNR: curve.Decibels(math.NaN()), Nominal: 24}}},
	}
	after, nominal := gradedLines(c, true)
	if !equal(after, plotter.XYs{{X: -4, Y: 27}}) || !equal(nominal, plotter.XYs{{X: -4, Y: 20}, {X: -3, Y: 24}}) {
		t.Errorf("after %v, nominal %v", after, nominal)
	}
	if after, nominal = gradedLines(c, false); after != nil || nominal != nil {
		t.Error("where grey is not known there are lines by scene")
	}
	c.Advice.Action = advise.Lift
	if after, _ = gradedLines(c, true); after != nil {
		t.Error("lines of another change are drawn")
	}
}

// Variance and fit are worked by hand: light 0.18 x 2^-2 = 0.045, read 0.001, shot 2e-5: variance
// 1e-6 + 9e-7 = 1.9e-6; a sigma of 0.002 is a variance of 4e-6, of logarithm -5.39794.
func TestTransferPoints(t *testing.T) {
	c := &report.Clip{}
	c.Noise.Model = &noise.Model{Read: 0.001, Shot: 2e-5}
	c.Noise.Tones = []report.Tone{{Tone: noise.Tone{Recorded: -2, SigmaLinear: 0.002}},
		{Tone: noise.Tone{Recorded: -1, SigmaLinear: curve.Light(math.NaN())}}, {Tone: noise.Tone{Recorded: -1}}}
	points, table := transferPoints(c)
	if len(points) != 1 || points[0].X != -2 || math.Abs(points[0].Y+5.39794) > 1e-5 {
		t.Errorf("points %v", points)
	}
	want := []string{"−2.00\u00a0stops", "4.5 × 10⁻²", "4.0 × 10⁻⁶", "1.9 × 10⁻⁶"}
	if len(table.Rows) != 1 || strings.Join(table.Rows[0], "|") != strings.Join(want, "|") {
		t.Errorf("table %q, want %q", table.Rows, want)
	}
	fit := transferFit(c.Noise.Model, -2, 0)
	if len(fit) != 9 || math.Abs(fit[0].Y-math.Log10(1.9e-6)) > 1e-9 ||
		math.Abs(fit[8].Y-math.Log10(1e-6+0.18*2e-5)) > 1e-9 {
		t.Errorf("fit %v", fit)
	}
	if transferFit(nil, -2, 0) != nil || transferFit(&noise.Model{}, -2, 0) != nil {
		t.Error("a model of no noise has a line")
	}
}

// The placement's own series is drawn, or else that of the groups, without what is not known.
func TestPlacementSeries(t *testing.T) {
	c := &report.Clip{}
	nan := curve.Stops(math.NaN())
	c.Over = append(c.Over, moments(0, 0.1)...)
	c.Over = append(c.Over, moments(2, nan, 0.3)...)
	if got, want := placementSeries(c), (plotter.XYs{{X: 0, Y: float64(curve.Stops(0.1))}, {X: 3,
		Y: float64(curve.Stops(0.3))}}); !equal(got, want) {
		t.Errorf("of groups: %v, want %v", got, want)
	}
	c.Placement = &placement.Placement{Series: []placement.At{{T: 1, Stops: 2}, {T: 2, Stops: nan}}}
	if got, want := placementSeries(c), (plotter.XYs{{X: 1, Y: 2}}); !equal(got, want) {
		t.Errorf("of the placement: %v, want %v", got, want)
	}
}

// The histogram's outline covers the shares of the bins within the axis; its table sums to them.
func TestHistogram(t *testing.T) {
	h := &levels.Histogram{First: -2, Step: 0.25, Shares: []curve.Share{0.1, 0.1, 0.1, 0.1, 0.3, 0.3}}
	area := histogramArea(h, -2, 1).(*plotter.Polygon).XYs[0]
	covered := 0.0
	for i := 1; i < len(area); i++ {
		covered += (area[i].X - area[i-1].X) * (area[i].Y + area[i-1].Y) / 2
	}
	if math.Abs(covered-100*0.25) > 1e-9 { // all of the frame, in percent, x the width of a bin
		t.Errorf("the outline covers %g, want 25", covered)
	}
	got := histogramTable(h).Rows
	want := [][]string{{"−2 to −1\u00a0stops", "40\u00a0%"}, {"−1 to +0\u00a0stops", "60\u00a0%"}}
	for i := range want {
		if len(got) != len(want) || strings.Join(got[i], "|") != strings.Join(want[i], "|") {
			t.Fatalf("table %q, want %q", got, want)
		}
	}
	c := &report.Clip{Histogram: *h}
	c.Highlights.Ceiling.Recorded, c.Noise.Floor = 5.6, -9.1
	if low, high := histogramRange(c); low != -10 || high != 7 {
		t.Errorf("the axis spans %g to %g, want floor and ceiling with half a stop of room, -10 to 7", low, high)
	}
}

// A mark stands at its value: the middle of an axis is drawn in the middle of the plot's frame.
func TestMarkStandsAtItsValue(t *testing.T) {
	place := func(at float64) (x []float64) {
		p := newPlot("x", "y")
		p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = -4, 4, 0, 1
		p.X.Tick.Marker, p.Y.Tick.Marker = plot.ConstantTicks(nil), plot.ConstantTicks(nil)
		p.Add(mark{at: at, name: "here", style: stroke(inkOther, 2)})
		d := Drawing{ID: "m"}
		d.draw(p)
		line := regexp.MustCompile(`M([-\d.]+),[-\d.]+L([-\d.]+),[-\d.]+" style="[^"]*var\(--other\)`)
		for _, m := range line.FindAllStringSubmatch(string(d.SVG), -1) {
			v, err := strconv.ParseFloat(m[1], 64)
			if err != nil || m[1] != m[2] {
				t.Fatalf("a mark from %s to %s", m[1], m[2])
			}
			x = append(x, v)
		}
		return x
	}
	left, middle, right := place(-4), place(0), place(4)
	if len(left) != 1 || len(middle) != 1 || len(right) != 1 {
		t.Fatalf("marks at %v, %v, %v", left, middle, right)
	}
	if math.Abs(middle[0]-(left[0]+right[0])/2) > 0.1 || right[0]-left[0] < plotWidth/2 {
		t.Errorf("marks at %v, %v, %v", left, middle, right)
	}
	for _, beyond := range []float64{-4.1, 4.1, math.NaN(), math.Inf(1)} {
		if got := place(beyond); got != nil {
			t.Errorf("a mark at %g is drawn at %v", beyond, got)
		}
	}
}

func TestTicks(t *testing.T) {
	for _, test := range []struct {
		ticker    plot.Ticker
		low, high float64
		want      string
	}{
		{stopTicks{}, -2.3, 2.3, "−2 −1 0 +1 +2"},
		{stopTicks{}, -6, 6, "−6 _ −4 _ −2 _ 0 _ +2 _ +4 _ +6"},
		{evenTicks{unit: " dB"}, 0, 40, "0\u00a0dB 10\u00a0dB 20\u00a0dB 30\u00a0dB 40\u00a0dB"},
		{evenTicks{signed: true}, -0.25, 0.25, "−0.2 −0.1 0.0 +0.1 +0.2"},
		{powerTicks{}, -7.2, -4.9, "10⁻⁷ 10⁻⁶ 10⁻⁵"},
	} {
		var labels []string
		ticks := test.ticker.Ticks(test.low, test.high)
		for _, tick := range ticks {
			if tick.Label == "" {
				tick.Label = "_"
			}
			labels = append(labels, tick.Label)
			if tick.Value < test.low-1e-9 || tick.Value > test.high+1e-9 {
				t.Errorf("%T %g to %g: a tick at %g", test.ticker, test.low, test.high, tick.Value)
			}
		}
		if got := strings.Join(labels, " "); got != test.want {
			t.Errorf("%T %g to %g: %s, want %s", test.ticker, test.low, test.high, got, test.want)
		}
		if len(ticks) > 14 {
			t.Errorf("%T %g to %g: %d ticks", test.ticker, test.low, test.high, len(ticks))
		}
	}
}

// Takes are drawn by the comparison's figures; with fewer than two there is nothing to compare.
func TestTakes(t *testing.T) {
	doc := reporttest.Shoot(t)
	c := reporttest.ShootTakes(t, doc, 3)
	d := OfTakes(c.Takes)
	if d == nil || len(d.Keys) < 2 || d.Keys[0].Shape == d.Keys[1].Shape || !strings.HasPrefix(d.Says,
		"4\u00a0stops under grey: A ") {
		t.Fatalf("drawn as %+v", d)
	}
	points, bars := takePoints(c.Takes[0])
	for i, p := range points {
		f := figureAt(c.Takes[0], p.X)
		if f.Value == nil || p.Y != float64(f.Value.Value) || bars.low[i] != float64(f.Value.Low) ||
			bars.high[i] != float64(f.Value.High) {
			t.Errorf("at %g stops %v is drawn, the figure is %+v", p.X, p, f.Value)
		}
	}
	if len(points) < 3 {
		t.Errorf("%d points", len(points))
	}
	if OfTakes(c.Takes[:1]) != nil || OfTakes(nil) != nil {
		t.Error("one take is compared with nothing")
	}
	if got := takesSay([]advise.Take{{}, {}}); got != "Signal-to-noise of each take by the scene's tones." {
		t.Error(got)
	}
}

func figureAt(take advise.Take, tone float64) advise.Figure {
	for _, f := range take.Figures {
		if f.SceneStops != nil && float64(*f.SceneStops) == tone {
			return f
		}
	}
	return advise.Figure{}
}
