package cells

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// samplesAt are the values of one channel in a cell of a frame, looked up one by one.
func samplesAt(f *decode.Frame, chroma curve.Chroma, channel, col, row int) (values []float64) {
	r := Channels(f, chroma)
	across, down := 16, 16
	if f.Layout == decode.YCbCr {
		across, down = 16/f.SubX(), 16/f.SubY()
	}
	for y := row * down; y < (row+1)*down; y++ {
		line := r.Block(y - y%Size)[channel][y%Size*r.Width:]
		for x := col * across; x < (col+1)*across; x++ {
			values = append(values, float64(line[x]))
		}
	}
	return values
}

// TestSurveyAgainstTwoPasses: mean, variance in space and half the mean squared difference of a pair
// are those of the textbook's two passes over the samples; cells that are cut off have no moments.
func TestSurveyAgainstTwoPasses(t *testing.T) {
	for _, k := range testframes.Kinds {
		frames := testframes.Make(k, 50, 38, 10, 2, testframes.Contents(10, 8)["grainy"])
		chroma := testframes.Reading(t, 10).Chroma(curve.BT709)
		s := NewSurvey(frames[1])
		now, was := Channels(frames[1], chroma), Channels(frames[0], chroma)
		for y := 0; y < now.Height; y += Size {
			s.Add(y, now.Width, now.Block(y), was.Block(y))
		}
		s.Finish()
		for channel := range s.Channels {
			for i, m := range s.Channels[channel] {
				col, row := i%s.Grid.Cols, i/s.Grid.Cols
				if col == 3 || row == 2 { // 50 x 38 samples hold 3 x 2 whole cells
					if !math.IsNaN(m.Mean) || !math.IsNaN(m.Spatial) || !math.IsNaN(m.Temporal) {
						t.Errorf("%s: cell %d,%d is cut off and has moments %+v", k.Name, col, row, m)
					}
					continue
				}
				want := slowMoments(samplesAt(frames[1], chroma, channel, col, row),
					samplesAt(frames[0], chroma, channel, col, row))
				if !near(m.Mean, want.Mean) || !near(m.Spatial, want.Spatial) || !near(m.Temporal, want.Temporal) {
					t.Errorf("%s, channel %d of cell %d,%d: %+v, want %+v", k.Name, channel, col, row, m, want)
				}
			}
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-6*(1+math.Abs(b)) }

func slowMoments(now, was []float64) (m Moments) {
	n := float64(len(now))
	for i := range now {
		m.Mean += (now[i] + was[i]) / 2 / n
		m.Temporal += (now[i] - was[i]) * (now[i] - was[i]) / 2 / n
	}
	for i := range now {
		m.Spatial += ((now[i]-m.Mean)*(now[i]-m.Mean) + (was[i]-m.Mean)*(was[i]-m.Mean)) / 2 / n
	}
	return m
}

// TestGridCoversTheFrame: the cells of any frame hold each of its samples once, and are whole but
// at the right and the bottom.
func TestGridCoversTheFrame(t *testing.T) {
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 111))
		width, height := 1+random.IntN(200), 1+random.IntN(200)
		g := NewGrid(width, height)
		samples := 0
		for row := range g.Rows {
			for col := range g.Cols {
				n := g.Pixels(col, row)
				samples += n
				if n < 1 || g.Whole(col, row) != (n == 256) {
					t.Errorf("%d x %d: cell %d,%d holds %d samples, whole %v", width, height, col, row, n, g.Whole(col, row))
				}
			}
		}
		if samples != width*height || g.Samples != samples {
			t.Errorf("%d x %d: the cells hold %d samples, the grid says %d", width, height, samples, g.Samples)
		}
	}
}

// TestMaskedCellsAreNotCounted: the histogram leaves out the samples of masked cells, and no others.
func TestMaskedCellsAreNotCounted(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 112))
		frames := testframes.Make(testframes.Kinds[0], 50, 38, 10, 1, testframes.Contents(10, seed)["random"])
		mask := make(Mask, 4*3)
		for i := range mask {
			mask[i] = random.IntN(3) == 0
		}
		want := make([]uint32, 1024)
		marked := 0
		for y := 0; y < 38; y++ {
			for x, code := range frames[0].Planes[0].Row(y) {
				if !mask[y/16*4+x/16] {
					want[code]++
				}
			}
		}
		for _, m := range mask {
			marked += int(count(m))
		}
		b := band{0, 3, make([]uint32, tables*1024)}
		f := &Frame{Frame: frames[0], Grid: GridOf(frames[0]), Cells: make([]Cell, 12), Mask: mask, Luma: frames[0].Planes[0]}
		b.walk(f, &Thresholds{}, nil)
		got := make([]uint32, 1024)
		b.addTo(got)
		for code := range want {
			if got[code] != want[code] {
				t.Fatalf("seed %d: code %d is counted %d times, want %d", seed, code, got[code], want[code])
			}
		}
		if mask.Count() != marked || Mask(nil).Has(5) || Mask(nil).Count() != 0 {
			t.Errorf("seed %d: %d cells are marked, want %d", seed, mask.Count(), marked)
		}
	}
}

// flatPair is two frames of one cell around a level, each with Gaussian noise of sigma codes.
func flatPair(random *rand.Rand, sigma float64, level func(frame, x, y int) float64) (now, was decode.Plane) {
	plane := func(frame int) decode.Plane {
		p := decode.Plane{Width: 16, Height: 16, Stride: 16}
		for i := range 256 {
			v := level(frame, i%16, i/16) + sigma*random.NormFloat64()
			p.Samples = append(p.Samples, uint16(math.Round(v)))
		}
		return p
	}
	return plane(0), plane(1)
}

// TestVarianceOfKnownNoise: over many cells the variance is the noise's own, with 1/12 code^2 that
// rounding adds; a change of level, and half-against-half contrasts across and down, take nothing
// away and add nothing. The mean of n cells has a standard error of sigma^2 x sqrt(2 / (253 n)).
func TestVarianceOfKnownNoise(t *testing.T) {
	const sigma, n = 6, 400
	random := rand.New(rand.NewPCG(1, 113))
	step := func(at int) float64 { return float64(at / 8) }
	for name, level := range map[string]func(frame, x, y int) float64{
		"flat":    func(_, _, _ int) float64 { return 500 },
		"flash":   func(frame, _, _ int) float64 { return 500 + 40*float64(frame) },
		"texture": func(_, x, y int) float64 { return 500 + 20*float64((x+y)%2) },
		"across":  func(frame, x, _ int) float64 { return 500 + 30*float64(frame)*step(x) },
		"down":    func(frame, _, y int) float64 { return 500 - 30*float64(frame)*step(y) },
	} {
		var mean float64
		for range n {
			now, was := flatPair(random, sigma, level)
			mean += Variance(Deviations(now, was, 10)[0]) / n
		}
		const want = sigma*sigma + 1.0/12
		if slack := 5 * want * math.Sqrt(2.0/253/n); math.Abs(mean-want) > slack {
			t.Errorf("%s: a variance of %.3f, want %.3f +- %.3f", name, mean, want, slack)
		}
	}
}

// TestDeviationsOfChanges: adding a code to one frame, turning time round, or half-against-half
// contrasts change nothing; equal frames have none.
func TestDeviationsOfChanges(t *testing.T) {
	for seed := range uint64(50) {
		random := rand.New(rand.NewPCG(seed, 114))
		now, was := flatPair(random, 20, func(_, _, _ int) float64 { return 500 })
		shifted := decode.Plane{Width: 16, Height: 16, Stride: 16}
		for i, v := range now.Samples {
			shifted.Samples = append(shifted.Samples, v+17+uint16(9*(i%16/8))+uint16(4*(i/128)))
		}
		of := func(now, was decode.Plane) uint64 { return Deviations(now, was, 10)[0] }
		want := of(now, was)
		if back, moved := of(was, now), of(shifted, was); back != want || moved != want {
			t.Errorf("seed %d: %d, backwards %d, with a tilt %d", seed, want, back, moved)
		}
		if same := of(now, now); same != 0 {
			t.Errorf("seed %d: equal frames deviate by %d", seed, same)
		}
	}
}

// TestLumaOfChannels: luma made of R', G' and B' is Kr R' + Kg G' + Kb B' rounded, and of a neutral
// pixel its own code.
func TestLumaOfChannels(t *testing.T) {
	for _, m := range []curve.Matrix{curve.BT709, curve.BT2020} {
		f := testframes.Make(testframes.Kinds[3], 40, 20, 12, 1, func(_, plane, x, y int) uint16 {
			if y < 10 {
				return uint16(100*x + y)
			}
			return uint16((plane*1471 + x*97 + y*31) % 4096)
		})[0]
		luma := Luma(f, m)
		for y := range 20 {
			for x, got := range luma.Row(y) {
				r, g, b := float64(f.Planes[0].Row(y)[x]), float64(f.Planes[1].Row(y)[x]), float64(f.Planes[2].Row(y)[x])
				if want := m.Kr*r + m.Kg()*g + m.Kb*b; math.Abs(float64(got)-want) > 0.6 || y < 10 && float64(got) != r {
					t.Fatalf("luma of %g, %g, %g is %d, want %.2f", r, g, b, got, want)
				}
			}
		}
	}
}
