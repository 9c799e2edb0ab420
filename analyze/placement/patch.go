package placement

import (
	"image"
	"math"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// patchSums are sums over the exact pixels of one area in one group of frames.
type patchSums struct {
	area      image.Rectangle
	histogram []uint64 // luma samples by file code
	blocks    []uint64 // sum of codes in each block of cells.Size pixels a side, for unevenness
}

func newPatchSums(area geometry.Rect, codes int) patchSums {
	s := patchSums{area: area.Image(), histogram: make([]uint64, codes)}
	s.blocks = make([]uint64, len(s.parts()))
	return s
}

// parts returns the blocks of the area, row by row; the last of a row or column may be cut off.
func (s *patchSums) parts() (all []image.Rectangle) {
	for y := s.area.Min.Y; y < s.area.Max.Y; y += cells.Size {
		for x := s.area.Min.X; x < s.area.Max.X; x += cells.Size {
			all = append(all, image.Rect(x, y, x+cells.Size, y+cells.Size).Intersect(s.area))
		}
	}
	return all
}

// add adds the area's pixels in a frame's luma.
func (s *patchSums) add(luma decode.Plane) {
	for i, part := range s.parts() {
		for y := part.Min.Y; y < part.Max.Y; y++ {
			for _, code := range luma.Row(y)[part.Min.X:part.Max.X] {
				s.histogram[code]++
				s.blocks[i] += uint64(code)
			}
		}
	}
}

// light returns the mean scene-linear light over the area: codes are turned into light before
// they are averaged, because near black the curve's bend biases a mean of codes. Negative light
// counts as it is.
func (s *patchSums) light(table *curve.Table) curve.Light {
	var sum, n float64
	for code, count := range s.histogram {
		if count > 0 {
			sum += float64(count) * float64(table.Light[code])
			n += float64(count)
		}
	}
	return curve.Light(sum / n)
}

// uneven returns the standard error of the area's level in stops that its unevenness causes,
// from the spread of the levels of its blocks over so many frames.
func (s *patchSums) uneven(r curve.Reading, frames int) float64 {
	var sum, square, n float64
	for i, part := range s.parts() {
		pixels := part.Dx() * part.Dy()
		stops := r.Stops(curve.FileCode(float64(s.blocks[i]) / float64(pixels*frames)))
		if !math.IsInf(float64(stops), 0) {
			sum += float64(stops)
			square += float64(stops) * float64(stops)
			n++
		}
	}
	if n < 2 {
		return 0
	}
	return math.Sqrt(max(square-sum*sum/n, 0) / (n - 1) / n)
}
