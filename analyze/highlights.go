package analyze

import (
	"image"
	"math"
	"sort"

	"gonum.org/v1/gonum/floats"

	"stopledger/curve"
)

const (
	// touched is the clipped share of a cell from which it belongs to an area.
	touched = 0.02
	// fieldShare is the least share of the frame of a field; smaller areas are points. A sky or
	// a window is larger than three thousandths of the frame, a lamp smaller: common practice,
	// no source.
	fieldShare = 0.003
	// fieldFill is how much of a field's cells is clipped, at the median; lamps and glints leave
	// most of theirs unclipped.
	fieldFill = 0.5
	// mostAreas bounds the list.
	mostAreas = 24
	// softStops is how far below the ceiling a roll-off is looked for.
	softStops = 0.25
	// brightShare is the percentile of the brightest content that matters.
	brightShare = 0.999
)

// clippedShares returns the shares of one group's frames, chroma samples counted.
func (s *groupSums) clippedShares(samples float64) Shares {
	var r, g, b, any, all uint64
	for i := range s.cells {
		c := &s.cells[i]
		r += uint64(c.clipped[0])
		g += uint64(c.clipped[1])
		b += uint64(c.clipped[2])
		any += uint64(c.any)
		all += uint64(c.all)
	}
	n := samples * float64(s.frames)
	return Shares{float64(r) / n, float64(g) / n, float64(b) / n, float64(any) / n, float64(all) / n}
}

// meanShares averages over frames.
func meanShares(groups []*groupSums, samples float64) Shares {
	var m Shares
	var frames float64
	for _, s := range groups {
		n := float64(s.frames)
		c := s.clippedShares(samples)
		m.R += n * c.R
		m.G += n * c.G
		m.B += n * c.B
		m.Any += n * c.Any
		m.All += n * c.All
		frames += n
	}
	return Shares{m.R / frames, m.G / frames, m.B / frames, m.Any / frames, m.All / frames}
}

// findAreas joins touching cells that clip at any time into areas, largest first. perCell is
// the number of chroma samples of a whole cell.
func findAreas(groups []*groupSums, g grid, perCell, rate float64) []Area {
	var frames float64
	for _, s := range groups {
		frames += float64(s.frames)
	}
	fill := make([]float64, g.cols*g.rows) // largest clipped share of the cell in any group
	for _, s := range groups {
		for i := range s.cells {
			fill[i] = max(fill[i], float64(s.cells[i].any)/perCell/float64(s.frames))
		}
	}
	var areas []Area
	for _, cells := range components(fill, g) {
		areas = append(areas, areaOf(cells, fill, groups, g, frames, rate))
	}
	sort.SliceStable(areas, func(i, j int) bool { return areas[i].Share > areas[j].Share })
	return areas[:min(len(areas), mostAreas)]
}

// components returns the sets of cells that touch, corners included, and are clipped.
func components(fill []float64, g grid) [][]int {
	var found [][]int
	seen := make([]bool, len(fill))
	for start := range fill {
		if seen[start] || fill[start] < touched {
			continue
		}
		seen[start] = true
		set := []int{start}
		for at := 0; at < len(set); at++ {
			col, row := set[at]%g.cols, set[at]/g.cols
			for y := max(row-1, 0); y <= min(row+1, g.rows-1); y++ {
				for x := max(col-1, 0); x <= min(col+1, g.cols-1); x++ {
					if i := y*g.cols + x; !seen[i] && fill[i] >= touched {
						seen[i] = true
						set = append(set, i)
					}
				}
			}
		}
		found = append(found, set)
	}
	return found
}

func areaOf(cells []int, fill []float64, groups []*groupSums, g grid, frames, rate float64) Area {
	a := Area{From: math.NaN()}
	filled := make([]float64, 0, len(cells))
	for _, i := range cells {
		col, row := i%g.cols, i/g.cols
		box := image.Rect(col*cellSize, row*cellSize, min((col+1)*cellSize, g.width), min((row+1)*cellSize, g.height))
		a.Box = a.Box.Union(box)
		filled = append(filled, fill[i])
	}
	sort.Float64s(filled)
	var any, all float64
	for _, s := range groups {
		var here, whole float64
		for _, i := range cells {
			here += float64(s.cells[i].any)
			whole += float64(s.cells[i].all)
		}
		if here == 0 {
			continue
		}
		any += here
		all += whole
		a.Peak = max(a.Peak, here/g.samples/float64(s.frames))
		if math.IsNaN(a.From) {
			a.From = s.t
		}
		a.To = s.t
		if rate > 0 {
			a.To += float64(s.frames) / rate
		}
	}
	a.Share = any / g.samples / frames
	a.Hue = 1 - all/any
	a.Field = a.Peak >= fieldShare && filled[len(filled)/2] >= fieldFill
	return a
}

// brightest returns the file code of the 99.9th percentile over the channels, samples at the
// ceiling left out, and the share of samples in the roll-off below the ceiling.
func (c *ceilingFinder) brightest(ceiling Ceiling) (code, soft float64) {
	if c.samples == 0 {
		return math.NaN(), math.NaN()
	}
	softFrom := c.reading.CodeOf(c.reading.Linear(ceiling.Code)*math.Exp2(-softStops)) / c.scale * perCode
	for i := range c.tops {
		top := len(c.tops[i].count)
		if !math.IsNaN(ceiling.Channel[i]) {
			top = int((ceiling.from[i]/c.scale - 2) * perCode)
		}
		count := c.tops[i].count[:top]
		soft = max(soft, floats.Sum(count[min(max(int(math.Ceil(softFrom)), 0), top):])/c.samples)
		below := floats.Sum(count)
		var sum float64
		for at := top - 1; at > 0; at-- {
			sum += count[at]
			if sum >= (1-brightShare)*below && sum > 0 {
				code = max(code, min(float64(at)/perCode*c.scale, lastCode(c.reading)))
				break
			}
		}
	}
	return code, soft
}

// measureHighlights puts it together.
func measureHighlights(groups []*groupSums, g grid, finder *ceilingFinder, ceiling Ceiling, perCell, rate float64) Highlights {
	h := Highlights{Ceiling: ceiling, Clipped: meanShares(groups, g.samples), Headroom: math.NaN()}
	h.Areas = findAreas(groups, g, perCell, rate)
	code, soft := finder.brightest(ceiling)
	r := finder.reading
	h.Brightest, h.Soft = r.Stops(code), soft
	h.Edge = edge(ceiling, soft)
	for _, a := range h.Areas {
		if a.Field {
			return h
		}
	}
	if !math.IsInf(h.Brightest, -1) {
		h.Headroom = max(curve.ToStops(r.Linear(ceiling.Code))-h.Brightest, 0)
	}
	return h
}

// softLeast is the share of the frame just below the ceiling from which light crowds there.
const softLeast = 0.005

// edge tells a soft roll-off from a hard clip.
func edge(c Ceiling, soft float64) string {
	switch {
	case c.Measured:
		return "hard"
	case soft >= softLeast:
		return "soft"
	}
	return "none"
}
