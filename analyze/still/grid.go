package still

import (
	"math"

	"stopledger/curve"
	"stopledger/decode"
)

// A grid has so many blocks across at most, and its blocks are so many pixels at least: blocks of 12 pixels
// in a frame of 3840, of 6 in one of 1920, small beside any card worth reading.
const (
	gridWidth = 320
	leastStep = 4
)

func newGrid(width, height, side int) *Grid {
	return &Grid{Side: side, Width: width / side, Height: height / side}
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
