package chart

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/plot/plotter"

	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
	"stopledger/report/text"
)

// Every key of a plot names something that is drawn: its ink is in the plot, dashes where it has
// dashes, and no two keys look alike.
func TestKeysNameWhatIsDrawn(t *testing.T) {
	doc := reporttest.Shoot(t)
	all := []Drawing{*OfTakes(reporttest.ShootTakes(t, doc, 3).Takes)}
	for i := range doc.Clips {
		all = append(all, OfClip(&doc.Clips[i])...)
	}
	for _, d := range all {
		seen := map[string]bool{}
		for _, k := range d.Keys {
			if !strings.Contains(string(d.SVG), "var(--"+k.Ink+")") || k.Words == "" || seen[k.Shape+k.Ink] {
				t.Errorf("%s: the key %+v names nothing, or what another names", d.ID, k)
			}
			seen[k.Shape+k.Ink] = true
			if k.Shape == "dashes" && !strings.Contains(string(d.SVG), "stroke-dasharray") {
				t.Errorf("%s: %q are not dashed", d.ID, k.Words)
			}
		}
	}
}

// Whatever floor and ceiling are, who cannot see the histogram is told both as they are printed.
func TestHistogramTellsItsBounds(t *testing.T) {
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 131))
		c := &report.Clip{Histogram: levels.Histogram{First: -1, Step: 1, Shares: []curve.Share{0.5, 0.5}}}
		c.Noise.Floor = curve.Stops(-12 * random.Float64())
		c.Highlights.Ceiling.Recorded = curve.Stops(8 * random.Float64())
		c.Histogram.Below = curve.Share(0.01 + random.Float64())
		says := histogramSays(c)
		for _, want := range []string{c.Noise.Floor.Signed(1), c.Highlights.Ceiling.Recorded.Signed(1),
			c.Histogram.Below.String()} {
			if !strings.Contains(says, text.Typeset(want)) {
				t.Errorf("seed %d: %q does not tell %q", seed, says, want)
			}
		}
	}
}

// The table of noise has a row for each tone, with its ratio as measured, and what noise is below
// where it was too small to be measured.
func TestTableOfNoise(t *testing.T) {
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 132))
		c := &report.Clip{}
		for range 1 + random.IntN(20) {
			tone := report.Tone{Scene: curve.Stops(random.NormFloat64())}
			tone.Tone = noise.Tone{Recorded: curve.Stops(random.NormFloat64()), SNR: curve.Decibels(40 * random.Float64()),
				Cells: random.IntN(5000), SigmaCode: 1.5, Low: curve.Unknown[curve.Decibels]()}
			if random.IntN(3) == 0 {
				tone.SigmaCode, tone.Below = curve.Code(math.NaN()), 0.25
			}
			c.Noise.Tones = append(c.Noise.Tones, tone)
		}
		table := snrTable(c)
		if len(table.Rows) != len(c.Noise.Tones) {
			t.Fatalf("seed %d: %d rows for %d tones", seed, len(table.Rows), len(c.Noise.Tones))
		}
		for i, row := range table.Rows {
			tone := c.Noise.Tones[i]
			ratio := value(t, strings.TrimSuffix(row[4], "\u00a0dB"))
			below := strings.HasPrefix(row[3], "below ")
			if math.Abs(ratio-float64(tone.SNR)) > 0.0501 || int(value(t, row[6])) != tone.Cells || row[5] != curve.Absent ||
				below != math.IsNaN(float64(tone.SigmaCode)) {
				t.Errorf("seed %d: %q of %+v", seed, row, tone)
			}
		}
	}
}

// The outline of a histogram runs from left to right along the axis, at the height of each bin's
// share in percent, and ends where it began.
func TestOutlineFollowsTheBins(t *testing.T) {
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 133))
		h := &levels.Histogram{First: -10, Step: 0.25, Shares: make([]curve.Share, 80)}
		for i := range h.Shares {
			h.Shares[i] = curve.Share(random.Float64() / 80)
		}
		low, high := -10+float64(random.IntN(8)), 10-float64(random.IntN(8))
		line := histogramArea(h, low, high).(*plotter.Polygon).XYs[0]
		for i := 1; i < len(line); i++ {
			if line[i].X < line[i-1].X || line[i].X < low || line[i].X > high {
				t.Fatalf("seed %d: from %v to %v", seed, line[i-1], line[i])
			}
			bin := int(math.Floor(((line[i].X+line[i-1].X)/2 + 10) / 0.25))
			if flat := line[i].X > line[i-1].X; flat && math.Abs(line[i].Y-100*float64(h.Shares[bin])) > 1e-9 {
				t.Fatalf("seed %d: bin %d is drawn at %g %%, holds %g", seed, bin, line[i].Y, 100*float64(h.Shares[bin]))
			}
		}
		if first, last := line[0], line[len(line)-1]; first.Y != 0 || last.Y != 0 || first.X != low || last.X != high {
			t.Errorf("seed %d: from %v to %v, the axis spans %g to %g", seed, first, last, low, high)
		}
	}
}
