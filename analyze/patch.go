package analyze

import (
	"image"
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// patchSums are sums over the exact pixels of one area in one group.
type patchSums struct {
	hist   []uint64 // luma samples by file code
	blocks []uint64 // sum of code per block of cellSize, for unevenness
	diffSq float64  // file code^2: squared deviation of differences from their block's mean
	free   float64  // degrees of freedom of diffSq
	pixels []uint32 // sum of code per pixel, given up at the group's end
	fixed  float64  // file code^2: variance of the mean frame, temporal noise taken off
}

// A PatchNoise is the noise of one area the user pointed at, in file codes; NaN where unknown.
type PatchNoise struct {
	Temporal float64
	Fixed    float64 // standing pattern over the whole area, slow shading included
}

// settle works out the standing pattern of a group of frames: ISO 15739's split (from memory),
// var(mean of n frames) = fixed^2 + temporal^2 / n.
func (s *patchSums) settle(frames int) {
	s.fixed = math.NaN()
	if n := float64(len(s.pixels)); frames > 1 && n > 1 {
		var sum, square float64
		for _, v := range s.pixels {
			mean := float64(v) / float64(frames)
			sum += mean
			square += mean * mean
		}
		s.fixed = (square-sum*sum/n)/(n-1) - s.variance()/float64(frames)
	}
	s.pixels = nil
}

// patchNoise averages a patch's noise over the groups; those of a single frame have none.
func patchNoise(groups []*groupSums, patch int, g grain) PatchNoise {
	var diffSq, free, fixed, several float64
	for _, s := range groups {
		if p := &s.patch[patch]; s.frames > 1 {
			diffSq += p.diffSq
			free += p.free
			fixed += p.fixed
			several++
		}
	}
	n := PatchNoise{math.NaN(), math.Sqrt(max(fixed/several, 0))}
	// A block less its mean loses more of correlated noise: as much as a grain's area.
	kept := 1.0
	if !math.IsNaN(g.length) {
		kept = max((cellArea-g.length*g.length)/(cellArea-1), leastKept)
	}
	if clean := diffSq/free/2/kept - quantised; clean >= LeastSigma*LeastSigma {
		n.Temporal = math.Sqrt(clean)
	}
	return n
}

// addPatch walks one area of a frame; prev is empty for a group's first frame.
func addPatch(s *patchSums, area image.Rectangle, cur, prev decode.Plane, codes int) {
	if s.hist == nil {
		s.hist = make([]uint64, codes)
		s.pixels = make([]uint32, area.Dx()*area.Dy())
	}
	s.addPixels(area, cur)
	block := 0
	for y := area.Min.Y; y < area.Max.Y; y += cellSize {
		for x := area.Min.X; x < area.Max.X; x += cellSize {
			part := image.Rect(x, y, min(x+cellSize, area.Max.X), min(y+cellSize, area.Max.Y))
			if block == len(s.blocks) {
				s.blocks = append(s.blocks, 0)
			}
			s.blocks[block] += addBlock(s, part, cur, prev)
			block++
		}
	}
}

func (s *patchSums) addPixels(area image.Rectangle, cur decode.Plane) {
	at := 0
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for _, c := range cur.Row(y)[area.Min.X:area.Max.X] {
			s.pixels[at] += uint32(c)
			at++
		}
	}
}

func addBlock(s *patchSums, part image.Rectangle, cur, prev decode.Plane) (sum uint64) {
	var diff, diffSq int64
	for y := part.Min.Y; y < part.Max.Y; y++ {
		row := cur.Row(y)[part.Min.X:part.Max.X]
		for _, c := range row {
			s.hist[c]++
			sum += uint64(c)
		}
		if prev.Samples == nil {
			continue
		}
		was := prev.Row(y)[part.Min.X:part.Max.X]
		for i, c := range row {
			d := int64(c) - int64(was[i])
			diff += d
			diffSq += d * d
		}
	}
	if n := float64(part.Dx() * part.Dy()); prev.Samples != nil && n > 1 {
		s.diffSq += float64(diffSq) - float64(diff)*float64(diff)/n
		s.free += n - 1
	}
	return sum
}

// linear returns the mean scene-linear light over the area: codes are turned into light before
// they are averaged, because near black the curve's bend biases a mean of codes. Negative light
// counts as it is.
func (s *patchSums) linear(table []float64) float64 {
	var sum, n float64
	for code, count := range s.hist {
		if count > 0 {
			sum += float64(count) * table[code]
			n += float64(count)
		}
	}
	return sum / n
}

// variance returns the temporal variance in file code^2, NaN for a single frame.
func (s *patchSums) variance() float64 {
	if s.free == 0 {
		return math.NaN()
	}
	return s.diffSq / s.free / 2
}

// uneven returns the standard error of the area's level in stops that its unevenness causes,
// from the spread of its blocks' mean codes.
func (s *patchSums) uneven(r curve.Reading, area image.Rectangle, frames int) float64 {
	if len(s.blocks) < 2 {
		return 0
	}
	var sum, square, n float64
	block := 0
	for y := area.Min.Y; y < area.Max.Y; y += cellSize {
		for x := area.Min.X; x < area.Max.X; x += cellSize {
			pixels := min(cellSize, area.Max.X-x) * min(cellSize, area.Max.Y-y)
			stops := r.Stops(float64(s.blocks[block]) / float64(pixels*frames))
			block++
			if !math.IsInf(stops, 0) {
				sum += stops
				square += stops * stops
				n++
			}
		}
	}
	if n < 2 {
		return 0
	}
	return math.Sqrt(max(square-sum*sum/n, 0) / (n - 1) / n)
}
