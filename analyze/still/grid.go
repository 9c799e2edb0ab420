package still

import (
	"math"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
)

// A grid has so many blocks across at most, and its blocks are so many pixels at least: blocks of 12 pixels
// in a frame of 3840, of 6 in one of 1920, small beside any card worth reading.
const (
	gridWidth = 320
	leastStep = 4
)

// Grid measures a frame in blocks; s is the same frame as Whole takes it.
func (c *Camera) Grid(f *decode.Frame, s *Still) *Grid {
	step := int(s.Scale)
	n := min(max((s.Width+gridWidth-1)/gridWidth, leastStep), s.Width, s.Height)
	g := &Grid{Side: n * step, Width: s.Width / n, Height: s.Height / n, Light: c.codes()}
	g.R, g.G, g.B = g.means(s.R, s.Width, n), g.means(s.G, s.Width, n), g.means(s.B, s.Width, n)
	g.Clipped = make([]uint8, g.Width*g.Height)
	for y := range g.Height * n {
		marks := g.Clipped[y/n*g.Width : (y/n+1)*g.Width]
		for x := range marks {
			for _, clipped := range s.Clipped[y*s.Width+x*n : y*s.Width+x*n+n] {
				marks[x] |= clipped
			}
		}
	}
	c.luma(g, cells.Luma(f, c.matrix))
	return g
}

// means returns the mean of each block of n x n values; stride is the length of a row.
func (g *Grid) means(values []float32, stride, n int) []float32 {
	sums := make([]float64, g.Width*g.Height)
	for y := range g.Height * n {
		row := sums[y/n*g.Width : (y/n+1)*g.Width]
		for x := range row {
			for _, v := range values[y*stride+x*n : y*stride+x*n+n] {
				row[x] += float64(v)
			}
		}
	}
	out := make([]float32, len(sums))
	for i, sum := range sums {
		out[i] = float32(sum / float64(n*n))
	}
	return out
}

// luma adds mean and spread of luma's light.
func (c *Camera) luma(g *Grid, plane decode.Plane) {
	sums, squares := make([]float64, g.Width*g.Height), make([]float64, g.Width*g.Height)
	for y := range g.Height * g.Side {
		row, at := plane.Row(y), y/g.Side*g.Width
		for x := range g.Width {
			var sum, square float64
			for _, code := range row[x*g.Side : (x+1)*g.Side] {
				light := float64(c.table.Light[code])
				sum, square = sum+light, square+light*light
			}
			sums[at+x] += sum
			squares[at+x] += square
		}
	}
	g.Luma, g.Spread = make([]float32, len(sums)), make([]float32, len(sums))
	pixels := float64(g.Side * g.Side)
	for i, sum := range sums {
		mean := sum / pixels
		g.Luma[i] = float32(mean)
		g.Spread[i] = float32(math.Sqrt(max(squares[i]/pixels-mean*mean, 0)))
	}
}

// codes returns the light of each code on the 10-bit scale.
func (c *Camera) codes() []float32 {
	light := make([]float32, 1024)
	for code := range light {
		file := c.table.Reading.FileCode(curve.Code(code))
		light[code] = float32(c.table.LightAt(file))
	}
	return light
}
