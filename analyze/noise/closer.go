package noise

import (
	"math"
	"slices"
	"sort"

	"stopledger/analyze/cells"
	"stopledger/analyze/robust"
)

// stillCells returns the cells whose variance fits the tones already estimated.
func stillCells(list []detailCell, tones []tone) []detailCell {
	return slices.DeleteFunc(slices.Clone(list), func(c detailCell) bool { return !fits(c, tones) })
}

// fits tells whether a cell's variance fits the tone nearest to its code.
func fits(c detailCell, tones []tone) bool {
	if len(tones) == 0 {
		return false
	}
	i := sort.Search(len(tones), func(i int) bool { return tones[i].code >= c.code })
	near := tones[min(i, len(tones)-1)]
	if i > 0 && c.code-tones[i-1].code < near.code-c.code {
		near = tones[i-1]
	}
	return !math.IsNaN(near.sigma) && c.variance < 1.6*(near.sigma*near.sigma+quantised) && c.variance > 0
}

// addPatterns fills in the standing pattern of each tone: ISO 15739's split (from memory) into
// temporal and fixed parts, var(mean of n frames) = fixed^2 + temporal^2 / n, with the scene's
// shading taken out as a plane. Texture only adds, so the quiet cells of each tone are found by
// the same rule as for noise.
func addPatterns(tones []tone, list []detailCell, g grain, s *toneScale) {
	still, memory := stillCells(list, tones), new(scratch)
	for i := range tones {
		t := &tones[i]
		if math.IsNaN(t.sigma) {
			continue
		}
		var total []sample
		var rows, columns []float64
		for _, c := range still {
			if math.Abs(float64(s.stopsAt(c.code)-t.light.Stops())) <= toneStep/2 {
				total = append(total, sample{code: c.code, variance: c.fixed})
				rows = append(rows, c.row)
				columns = append(columns, c.column)
			}
		}
		if kept, trimmed := memory.quiet(total, cells.Freedom); len(kept) >= leastCells {
			half := (t.sigma*t.sigma + quantised) * g.kept / 2
			t.standing(trimmed.Variance, half, rows, columns)
		}
	}
}

// standing fills in the pattern from the variance of cells less their plane, the part of it that
// temporal noise leaves, and the variances of the cells' row and column means.
func (t *tone) standing(total, temporal float64, rows, columns []float64) {
	pixels, row, column := splitBands(total, medianOfMeans(rows), medianOfMeans(columns))
	t.fixed = math.Sqrt(max(pixels+row+column-temporal, 0))
	t.row, t.column = math.Sqrt(significant(row, rows)), math.Sqrt(significant(column, columns))
}

// medianOfMeans returns the variance of a cell's row or column means from that of many cells: the
// median of a chi-squared distribution lies under its mean.
func medianOfMeans(v []float64) float64 {
	return robust.Median(v) / robust.ChiQuantile(0.5, bandFreedom)
}

// significant returns a band's variance, 0 unless it stands out of that of the means by two
// standard errors of their median.
func significant(band float64, means []float64) float64 {
	if band < 2*1.25*math.Sqrt(2/(bandFreedom*float64(len(means))))*medianOfMeans(means) {
		return 0
	}
	return band
}

// splitBands tells the variance of single pixels from that of rows and columns. total is the
// variance in a cell less its plane, rows and columns are that of its row and column means, which
// hold a sixteenth of the pixels' variance as well.
func splitBands(total, rows, columns float64) (pixels, row, column float64) {
	// The plane takes less from the pixels' freedom than from the bands'.
	const share = cells.Size * bandFreedom / float64(cells.Freedom)
	bands := max((rows+columns-2*total/cells.Size)/(1-2*share/cells.Size), 0)
	pixels = max(total-share*bands, 0)
	return pixels, max(rows-pixels/cells.Size, 0), max(columns-pixels/cells.Size, 0)
}
