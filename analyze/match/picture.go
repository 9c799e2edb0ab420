package match

import (
	"math"

	"stopledger/analyze/still"
	"stopledger/curve"
)

// A picture is the logarithm of a view's light, in stops, at a width of choice. What is clipped, or lies
// in the noise, is not valid.
type picture struct {
	width, height int
	stops         []float64 // of luma-weighted light, row by row; 0 where not valid
	valid         []bool
}

func (p *picture) at(x, y int) int { return y*p.width + x }

// darkestAsked is the level from which light is compared, in recorded stops, where the noise of a clip is
// not known: under it flare, a raised black and noise change levels.
const darkestAsked curve.Stops = -5

// overFloor is how far over its floor light is compared: a pixel of a view is the mean of many samples.
const overFloor curve.Stops = 2

// validShare is the part of a pixel that has to be valid.
const validShare = 0.75

// pictureOf reduces a view to so many pixels across, by the mean of the light in each.
func pictureOf(c Clip, width int) *picture {
	v := c.View
	height := max(1, int(math.Round(float64(width)*float64(v.Height)/float64(v.Width))))
	p := &picture{width: width, height: height, stops: make([]float64, width*height), valid: make([]bool, width*height)}
	darkest := darkestAsked
	if curve.Finite(c.Floor) {
		darkest = max(darkest, c.Floor+overFloor)
	}
	least := float64(darkest.Light())
	across, down := float64(v.Width)/float64(width), float64(v.Height)/float64(height)
	for y := range height {
		for x := range width {
			light, share := areaMean(v, float64(x)*across, float64(y)*down, across, down)
			if share >= validShare && light >= least {
				p.stops[p.at(x, y)], p.valid[p.at(x, y)] = float64(curve.Light(light).Stops()), true
			}
		}
	}
	return p
}

// areaMean returns the mean light of the pixels of a view in a rectangle that clip in no channel, weighted
// by how much of each lies in it, and the share of the rectangle that they are.
func areaMean(v *still.Still, x, y, w, h float64) (light, share float64) {
	var sum, area float64
	for row := int(y); row < min(v.Height, int(math.Ceil(y+h))); row++ {
		down := min(y+h, float64(row+1)) - max(y, float64(row))
		for col := int(x); col < min(v.Width, int(math.Ceil(x+w))); col++ {
			weight := down * (min(x+w, float64(col+1)) - max(x, float64(col)))
			if i := row*v.Width + col; v.Clipped[i] == 0 {
				// Any fixed weights would do: exposure scales all channels alike.
				sum += weight * (float64(v.R[i]) + 2*float64(v.G[i]) + float64(v.B[i])) / 4
				area += weight
			}
		}
	}
	if area <= 0 {
		return 0, 0
	}
	return sum / area, area / (w * h)
}

// detail is a picture less its local mean over (2 reach + 1)^2 pixels, which takes away exposure and
// slow changes of light. What lies far off its surroundings counts as mostOff at most.
func (p *picture) detail(reach int) *picture {
	const mostOff = 2 // stops: one lamp is no picture
	sum, count := p.integral()
	d := &picture{width: p.width, height: p.height, stops: make([]float64, len(p.stops)), valid: p.valid}
	for y := range p.height {
		y0, y1 := max(0, y-reach), min(p.height, y+reach+1)
		for x := range p.width {
			if i := p.at(x, y); p.valid[i] {
				x0, x1 := max(0, x-reach), min(p.width, x+reach+1)
				box := func(s []float64) float64 {
					w := p.width + 1
					return s[y1*w+x1] - s[y0*w+x1] - s[y1*w+x0] + s[y0*w+x0]
				}
				d.stops[i] = max(-mostOff, min(mostOff, p.stops[i]-box(sum)/box(count)))
			}
		}
	}
	return d
}

// integral returns the summed areas of stops and of valid pixels.
func (p *picture) integral() (sum, count []float64) {
	w := p.width + 1
	sum, count = make([]float64, w*(p.height+1)), make([]float64, w*(p.height+1))
	for y := range p.height {
		for x := range p.width {
			i, at := p.at(x, y), (y+1)*w+x+1
			n := 0.0
			if p.valid[i] {
				n = 1
			}
			sum[at] = p.stops[i] + sum[at-1] + sum[at-w] - sum[at-w-1]
			count[at] = n + count[at-1] + count[at-w] - count[at-w-1]
		}
	}
	return sum, count
}
