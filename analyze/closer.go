package analyze

import (
	"math"
	"slices"
	"sort"
)

// quietTest returns a test for cells whose variance fits the tones already estimated.
func quietTest(tones []Tone) func(detailCell) bool {
	return func(c detailCell) bool {
		if len(tones) == 0 {
			return false
		}
		i := sort.Search(len(tones), func(i int) bool { return tones[i].Code >= c.code })
		near := tones[min(i, len(tones)-1)]
		if i > 0 && c.code-tones[i-1].Code < near.Code-c.code {
			near = tones[i-1]
		}
		sigma := near.SigmaCode
		return !math.IsNaN(sigma) && c.variance < 1.6*(sigma*sigma+quantised) && c.variance > 0
	}
}

// lumaGrain returns the grain of luma noise in the cells that hold still.
func (m *measurement) lumaGrain(tones []Tone) grain {
	return grainOf(m.detailCells(-1), quietTest(tones))
}

// detailCells gathers the closer look's cells, of luma (-1) or a channel.
func (m *measurement) detailCells(channel int) []detailCell {
	var cells []detailCell
	for _, s := range m.groups {
		switch {
		case s.detail == nil:
		case channel < 0:
			cells = append(cells, s.detail.luma...)
		default:
			cells = append(cells, s.detail.channels[channel]...)
		}
	}
	return cells
}

// patterns fills in the standing pattern of each tone: ISO 15739's split (from memory) into
// temporal and fixed parts, var(mean of n frames) = fixed^2 + temporal^2 / n, with the scene's
// shading taken out as a plane. Texture only adds, so the quiet cells of each tone are found by
// the same rule as for noise.
func (m *measurement) patterns(n *Noise, g grain) {
	quiet := quietTest(n.Tones)
	cells := slices.DeleteFunc(m.detailCells(-1), func(c detailCell) bool { return !quiet(c) })
	for i := range n.Tones {
		t := &n.Tones[i]
		if math.IsNaN(t.SigmaCode) {
			continue
		}
		var total []cellNoise
		var rows, columns []float64
		for _, c := range cells {
			if math.Abs(at(m.scale.stops, c.code)-t.Stops) <= toneStep/2 {
				total = append(total, cellNoise{code: c.code, variance: c.fixed, spatial: c.row})
				rows = append(rows, c.row)
				columns = append(columns, c.column)
			}
		}
		kept, variance, _ := quietCells(total, cellFreedom)
		if len(kept) < leastCells {
			continue
		}
		pixels, row, column := splitBands(variance, medianOfMeans(rows), medianOfMeans(columns))
		half := (t.SigmaCode*t.SigmaCode + quantised) * g.kept / 2
		t.Fixed = rootOver(pixels+row+column, half)
		t.Row, t.Column = math.Sqrt(standing(row, rows)), math.Sqrt(standing(column, columns))
	}
}

// medianOfMeans returns the variance of a cell's row or column means from that of many cells: the
// median of a chi-squared distribution lies under its mean.
func medianOfMeans(v []float64) float64 { return median(v) / chiQuantile(0.5, bandFreedom) }

// standing returns a band's variance, 0 unless it stands out of that of the means by two standard
// errors of their median.
func standing(band float64, means []float64) float64 {
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
	const share = cellSize * bandFreedom / float64(cellFreedom)
	bands := max((rows+columns-2*total/cellSize)/(1-2*share/cellSize), 0)
	pixels = max(total-share*bands, 0)
	return pixels, max(rows-pixels/cellSize, 0), max(columns-pixels/cellSize, 0)
}

// rootOver returns sqrt(total - part), 0 where the part is all.
func rootOver(total, part float64) float64 { return math.Sqrt(max(total-part, 0)) }

// channelNoise estimates the tones of R', G' and B'.
func (m *measurement) channelNoise(n *Noise) {
	for i := range n.Channels {
		var cells []cellNoise
		for _, c := range m.detailCells(i) {
			// Rounding of Y', Cb and Cr adds another amount than 1/12; tonesOf takes that off.
			c.variance += quantised - m.channelRounding(i)
			if math.IsNaN(m.ceiling.Channel[i]) || c.code+3*math.Sqrt(max(c.variance, 0)) < m.ceiling.from[i] {
				cells = append(cells, c.cellNoise)
			}
		}
		var table toneTable
		table.add(cells, m.scale)
		g := grainOf(m.detailCells(i), quietTest(table.tones(worth{1, whiteGrain})))
		n.ChannelGrain[i] = g.length
		n.Channels[i] = table.tones(worth{1, g})
	}
}

// channelRounding returns the variance in file code^2 that rounding Y', Cb and Cr leaves in a
// channel at chroma resolution.
func (m *measurement) channelRounding(channel int) float64 {
	c := m.finder.chroma
	gain := [3]float64{c.CrR * c.CrR, c.CbG*c.CbG + c.CrG*c.CrG, c.CbB * c.CbB}
	if m.info.Chroma == "RGB" || m.info.Chroma == "gray" {
		return quantised
	}
	return quantised * (m.perCell/cellArea + gain[channel])
}
