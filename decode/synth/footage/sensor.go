package footage

import (
	"math"
	"math/rand/v2"
)

// A Sensor turns light into electrons behind a colour filter array (Bayer: red at even rows and
// even columns, blue at odd rows and odd columns, green at the others).
type Sensor struct {
	FullWell float64    // electrons at which a photosite clips
	ReadE    float64    // read noise, electrons, standard deviation
	RowE     float64    // noise of a whole row in a frame, electrons, standard deviation
	PRNU     float64    // standard deviation of a photosite's gain, relative; fixed
	DSNU     float64    // standard deviation of a photosite's offset, electrons; fixed
	FixedRow float64    // standard deviation of a row's offset, electrons; fixed
	Ceiling  float64    // scene-linear light of a full well in a channel of gain 1
	Gains    [3]float64 // white balance after the clip: R, G, B; 1 for none
	Clamp    bool       // all channels are cut at the lowest ceiling after the white balance
	Seed     uint64     // of the fixed pattern: which camera of its make
}

// ceilings returns the light at which each channel clips after the white balance.
func (s Sensor) ceilings() [3]float64 {
	out := [3]float64{s.Ceiling * s.Gains[0], s.Ceiling * s.Gains[1], s.Ceiling * s.Gains[2]}
	if s.Clamp {
		low := min(out[0], out[1], out[2])
		return [3]float64{low, low, low}
	}
	return out
}

// site returns the colour of a photosite: 0 red, 1 green, 2 blue.
func site(x, y int) int { return x&1 + y&1 }

// pattern is what stays the same in all frames, in electrons and as gains.
type pattern struct{ gain, offset []float32 }

func (s Sensor) pattern(width, height int) pattern {
	p := pattern{make([]float32, width*height), make([]float32, width*height)}
	rows(height, func(y int) {
		rng := random(s.Seed, 0, y, forPattern)
		row := s.FixedRow * rng.NormFloat64()
		for x := range width {
			p.gain[y*width+x] = float32(1 + s.PRNU*rng.NormFloat64())
			p.offset[y*width+x] = float32(row + s.DSNU*rng.NormFloat64())
		}
	})
	return p
}

// expose returns the photosites' light after noise, clip and white balance; quiet leaves all
// noise but the fixed pattern out. Few electrons are counted one by one.
func (s Sensor) expose(light *Image, p pattern, seed uint64, frame int, quiet bool) []float32 {
	out := make([]float32, light.Width*light.Height)
	perLight := s.FullWell / s.Ceiling // electrons per light in a channel of gain 1
	cut := s.ceilings()
	rows(light.Height, func(y int) {
		rng := random(seed, frame, y, forNoise)
		row := s.RowE * rng.NormFloat64()
		for x := range light.Width {
			i, c := y*light.Width+x, site(x, y)
			e := max(float64(light.Planes[c][i]), 0) / s.Gains[c] * perLight * float64(p.gain[i])
			if !quiet {
				e = photons(e, rng) + s.ReadE*rng.NormFloat64() + row
			}
			e = min(e+float64(p.offset[i]), s.FullWell)
			out[i] = float32(min(e/perLight*s.Gains[c], cut[c]))
		}
	})
	return out
}

// photons draws a number of electrons of a mean: Poisson by multiplication below twelve (Knuth,
// The Art of Computer Programming 2, 3.4.1), normal above.
func photons(mean float64, rng *rand.Rand) float64 {
	if mean >= 12 {
		return mean + math.Sqrt(mean)*rng.NormFloat64()
	}
	limit, product, n := math.Exp(-mean), 1.0, -1.0
	for product > limit || n < 0 {
		product *= rng.Float64()
		n++
		if product <= limit {
			break
		}
	}
	return n
}

// What random numbers are for.
const (
	forNoise uint64 = iota + 1
	forPattern
	forScene
	forMotion
)

// random returns the generator of one row of one frame: rows can be made in any order.
func random(seed uint64, frame, row int, purpose uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed*0x9e3779b97f4a7c15+purpose, uint64(frame)<<32|uint64(uint32(row))))
}

// demosaic fills in the missing two colours of each photosite with the mean of their nearest
// neighbours (bilinear).
func demosaic(raw []float32, width, height int) *Image {
	m := NewImage(width, height)
	rows(height, func(y int) {
		up, down := raw[mirror(y-1, height)*width:], raw[mirror(y+1, height)*width:]
		here := raw[y*width:]
		for x := range width {
			l, r := mirror(x-1, width), mirror(x+1, width)
			cross := (up[x] + down[x] + here[l] + here[r]) / 4
			i := y*width + x
			switch site(x, y) {
			case 1:
				across, along := (here[l]+here[r])/2, (up[x]+down[x])/2
				if y&1 == 1 { // blue left and right, red above and below
					across, along = along, across
				}
				m.Planes[0][i], m.Planes[1][i], m.Planes[2][i] = across, here[x], along
			case 0:
				m.Planes[0][i], m.Planes[1][i], m.Planes[2][i] = here[x], cross, (up[l]+up[r]+down[l]+down[r])/4
			case 2:
				m.Planes[0][i], m.Planes[1][i], m.Planes[2][i] = (up[l]+up[r]+down[l]+down[r])/4, cross, here[x]
			}
		}
	})
	return m
}

// mirror keeps the colour of a photosite beyond the border.
func mirror(i, n int) int {
	if i < 0 {
		return -i
	}
	if i >= n {
		return 2*n - 2 - i
	}
	return i
}
