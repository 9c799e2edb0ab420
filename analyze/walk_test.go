package analyze

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stopledger/curve"
	"stopledger/decode"
)

// walkSizes are frames smaller than a cell, cut off on both sides, and whole across with the
// remainder of 1920 x 1080 below (1080 is 67 cells and a half).
var walkSizes = [][2]int{{1, 1}, {17, 9}, {33, 31}, {48, 40}}

// walkFrames walks one group with the settings of a test.
func walkFrames(k kind, frames []*decode.Frame, t thresholds, set Settings) (*walker, grid) {
	w, g := walkerFor(k, frames[0].Planes[0].Width, frames[0].Planes[0].Height, t, set)
	walkGroup(w, frames)
	return w, g
}

func walkerFor(k kind, width, height int, t thresholds, set Settings) (*walker, grid) {
	g := newGrid(width, height)
	return newWalker(g, float64(cellArea)/float64(k.x*k.y), set, t), g
}

func walkGroup(w *walker, frames []*decode.Frame) {
	w.begin(0, 0, false)
	for _, f := range frames {
		w.add(f)
	}
}

// readingOf reads frames of a depth with a curve that has a toe.
func readingOf(t testing.TB, bits int) curve.Reading {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Bits: bits}
}

// TestWalkIsExact compares every integer of a walk with the slow version's: all layouts, depths
// of 8 to 16 bits, odd sizes, extreme and random content, one to three workers.
func TestWalkIsExact(t *testing.T) {
	for _, k := range kinds {
		for _, bits := range []int{8, 10, 12, 16} {
			for _, size := range walkSizes {
				set := Settings{Reading: readingOf(t, bits), Matrix: curve.BT709, Threads: 1 + bits/4%3}
				top := float64(int(1)<<bits - 1)
				limits := newThresholds([3]float64{0.9 * top, 0.95 * top, top - 0.5}, set.Reading.Chroma(set.Matrix))
				w, g := walkerFor(k, size[0], size[1], limits, set)
				for name, value := range contents(bits, uint64(bits)) {
					t.Run(fmt.Sprintf("%s/%d bits/%dx%d/%s", k.name, bits, size[0], size[1], name), func(t *testing.T) {
						checkWalk(t, w, g, k, makeFrames(k, size[0], size[1], bits, 3, value), set)
					})
				}
			}
		}
	}
}

// checkWalk walks frames and compares histogram, cells and noise samples.
func checkWalk(t *testing.T, w *walker, g grid, k kind, frames []*decode.Frame, set Settings) {
	t.Helper()
	walkGroup(w, frames)
	samples := gathered(w)
	s := w.end()
	checkHistogram(t, frames, set, s.hist)
	looked := 0
	for row := range g.rows {
		for col := range g.cols {
			c := s.cells[row*g.cols+col]
			sum, deviation := new(big.Int), new(big.Int)
			var clips slowClips
			for i, f := range frames {
				var before *decode.Frame
				if i > 0 {
					before = frames[i-1]
				}
				slow := slowCellOf(f, before, set.Matrix, 16*col, 16*row)
				sum.Add(sum, slow.sum)
				n := slowClipped(f, k, w.ceilings, 16*col, 16*row)
				clips.add(n)
				if slow.deviation == nil {
					continue
				}
				deviation.Add(deviation, slow.deviation)
				looked++
				if float64(n.any) <= w.mostClipped {
					samples.take(t, slow, col, row, i)
				}
			}
			if !equal(c.sum, sum) || !equal(c.diffSq, deviation) {
				t.Errorf("cell %d,%d: sum %d diffSq %d, want %d %d", col, row, c.sum, c.diffSq, sum, deviation)
			}
			got := slowClips{int(c.clipped[0]), int(c.clipped[1]), int(c.clipped[2]), int(c.any), int(c.all)}
			if got != clips {
				t.Errorf("cell %d,%d: clipped %+v, want %+v", col, row, got, clips)
			}
		}
	}
	if s.looked != looked || s.frames != len(frames) || s.pairs != len(frames)-1 {
		t.Errorf("looked at %d cells, %d frames, %d pairs, want %d, %d, %d", s.looked, s.frames, s.pairs, looked, len(frames), len(frames)-1)
	}
	if len(samples) > 0 {
		t.Errorf("%d noise samples stem from no clean cell of one tone", len(samples))
	}
}

func equal(got uint64, want *big.Int) bool { return want.IsUint64() && want.Uint64() == got }

func (n *slowClips) add(o slowClips) {
	n.r += o.r
	n.g += o.g
	n.b += o.b
	n.any += o.any
	n.all += o.all
}

func checkHistogram(t *testing.T, frames []*decode.Frame, set Settings, got []uint64) {
	t.Helper()
	want := make([]uint64, 1<<set.Reading.Bits)
	for _, f := range frames {
		for y := 0; y < f.Planes[0].Height; y += histogramRows {
			for x := range f.Planes[0].Width {
				want[slowLuma(f, set.Matrix, x, y)]++
			}
		}
	}
	if !slices.Equal(got, want) {
		t.Error("histograms differ")
	}
}

// noiseSamples are the samples that a walk took and that are not accounted for yet.
type noiseSamples []cellNoise

func gathered(w *walker) (out noiseSamples) {
	for i := range w.bands {
		out = append(out, w.bands[i].samples...)
	}
	return out
}

// take accounts for the sample of one cell: a cell of one tone is sampled, another is not.
func (n *noiseSamples) take(t *testing.T, c slowCell, col, row, frame int) {
	t.Helper()
	sum, _ := new(big.Rat).SetFrac(c.sum, big.NewInt(256)).Float64()
	variance, _ := new(big.Rat).SetFrac(c.deviation, big.NewInt(2*256*253)).Float64()
	for i, s := range *n {
		// Variances are kept as float32.
		if s.code == sum && s.variance == float64(float32(variance)) && s.repeated == c.repeated {
			*n = slices.Delete(*n, i, i+1)
			return
		}
	}
	if sq, _ := new(big.Rat).SetInt(c.sumSq).Float64(); sq/256-sum*sum <= variance {
		t.Errorf("cell %d,%d of frame %d holds one tone and was not sampled", col, row, frame)
	}
}

// TestBigFramesWalkExactly walks frames with the remainders of 1920 x 1080 and one of a cinema
// width, in the common layouts, with three workers.
func TestBigFramesWalkExactly(t *testing.T) {
	for i, size := range [][2]int{{480, 136}, {250, 72}} {
		k := kinds[i]
		frames := makeFrames(k, size[0], size[1], 10, 2, contents(10, 5)["grainy"])
		set := Settings{Reading: readingOf(t, 10), Matrix: curve.BT2020, Threads: 3}
		w, g := walkerFor(k, size[0], size[1], newThresholds([3]float64{900, 890, 880}, set.Reading.Chroma(set.Matrix)), set)
		checkWalk(t, w, g, k, frames, set)
	}
}

// TestClippingInFixedPoint compares counts in fixed point with the matrix in floating point:
// they may differ only for samples within the rounding of the factors, 2^-15 of a chroma code's
// distance from the middle and 2^-15 of the limit.
func TestClippingInFixedPoint(t *testing.T) {
	for _, bits := range []int{8, 10, 12, 16} {
		r := readingOf(t, bits)
		top := math.Exp2(float64(bits))
		for _, m := range []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020} {
			c := r.Chroma(m)
			codes := [3]float64{0.8 * top, 0.85 * top, 0.9 * top}
			limits := newThresholds(codes, c)
			random := rand.New(rand.NewPCG(uint64(bits), 1))
			for range 4000 {
				y, u, v := random.IntN(int(top)), random.IntN(int(top)), random.IntN(int(top))
				row := func(v int) []uint16 { return []uint16{uint16(v)} }
				var cell [1]cellSums
				countRow(cell[:], &limits, row(y), row(y), row(u), row(v), 1, 16)
				var rgb [3]float64
				rgb[0], rgb[1], rgb[2] = c.RGB(float64(y), float64(u), float64(v))
				for i, value := range rgb {
					slack := (2*c.Mid + 1) / (1 << 15)
					if got := cell[0].clipped[i] == 1; got != (value >= codes[i]) && math.Abs(value-codes[i]) > slack {
						t.Fatalf("%d bits, %s: channel %d at %.3f of Y'CbCr %d %d %d counts as clipped: %v; the limit is %.3f", bits, m.Name, i, value, y, u, v, got, codes[i])
					}
				}
			}
		}
	}
}

// TestWorkersAgree walks the same frames with one to three workers: all sums are the same bits.
func TestWorkersAgree(t *testing.T) {
	for _, k := range kinds {
		frames := makeFrames(k, 130, 97, 10, 5, contents(10, 11)["grainy"])
		set := Settings{Reading: readingOf(t, 10), Matrix: curve.BT709}
		limits := newThresholds([3]float64{940, 940, 940}, set.Reading.Chroma(set.Matrix))
		var want *groupSums
		for threads := 1; threads <= 3; threads++ {
			set.Threads = threads
			w, _ := walkFrames(k, frames, limits, set)
			got := w.end()
			if want == nil {
				want = got
			} else if d := cmp.Diff(want, got, exact...); d != "" {
				t.Errorf("%s: %d workers give other sums than one:\n%s", k.name, threads, d)
			}
		}
	}
}

// exact compares results bit by bit; NaN equals NaN.
var exact = []cmp.Option{
	cmp.AllowUnexported(groupSums{}, cellSums{}, frameLevel{}, pairLevel{}, patchSums{}, lagSums{}, detail{}, detailCell{}, cellNoise{}, toneSums{}, Ceiling{}),
	cmpopts.EquateNaNs(),
	cmpopts.IgnoreUnexported(Result{}),
	cmp.Comparer(func(a, b *curve.Curve) bool { return a == b }),
}

// TestAnyOrderAnyWorkers measures a clip with one to three workers and its groups in any order:
// the results are the same bits.
func TestAnyOrderAnyWorkers(t *testing.T) {
	frames := makeFrames(kinds[1], 176, 144, 10, 60, contents(10, 3)["grainy"])
	clip := newReel(kinds[1], frames)
	set := Settings{Reading: readingOf(t, 10), Matrix: curve.BT709, Reflectance: 0.18}
	random := rand.New(rand.NewPCG(1, 2))
	var want *Result
	for threads := 1; threads <= 3; threads++ {
		set.Threads = threads
		m := newMeasurement(clip, set)
		if err := m.scout(t.Context()); err != nil {
			t.Fatal(err)
		}
		if err := m.walk(t.Context()); err != nil {
			t.Fatal(err)
		}
		for range 3 {
			got := m.result()
			if want == nil {
				want = got
			} else if d := cmp.Diff(want, got, exact...); d != "" {
				t.Fatalf("%d workers: results differ:\n%s", threads, d)
			}
			random.Shuffle(len(m.groups), func(i, j int) { m.groups[i], m.groups[j] = m.groups[j], m.groups[i] })
		}
	}
	if len(want.Moments) < 5 {
		t.Errorf("only %d groups to shuffle", len(want.Moments))
	}
}

// TestHistogramDoesNotOverflow: within a group the histogram is emptied into 64 bits before a
// frame's whole area, at one code, could fill 32.
func TestHistogramDoesNotOverflow(t *testing.T) {
	const largest = 1 << 27 // 16384 x 8192, more than any camera's frame
	if uint64(noiseBatch)*largest > math.MaxUint32 {
		t.Fatalf("%d frames of %d samples overflow 32 bits", noiseBatch, largest)
	}
	frames := makeFrames(kinds[1], 32, 32, 10, 2*noiseBatch, contents(10, 1)["low"])
	set := Settings{Reading: readingOf(t, 10), Matrix: curve.BT709, Threads: 2}
	w, _ := walkFrames(kinds[1], frames, thresholds{}, set)
	for _, b := range w.bands {
		if b.hist[0] != 0 {
			t.Errorf("%d samples are left in 32 bits after a batch", b.hist[0])
		}
	}
	if got := w.end().hist[0]; got != 32*32/histogramRows*2*noiseBatch {
		t.Errorf("%d samples counted, want %d", got, 32*32/histogramRows*2*noiseBatch)
	}
}

// TestLagIsExact compares the variance between first and last frame with the slow version's.
func TestLagIsExact(t *testing.T) {
	frames := makeFrames(kinds[1], 48, 48, 12, 2, contents(12, 8)["random"])
	for row := range 3 {
		for col := range 3 {
			slow := slowCellOf(frames[1], frames[0], curve.BT709, 16*col, 16*row)
			want, _ := new(big.Rat).SetFrac(slow.deviation, big.NewInt(2*256*253)).Float64()
			if got := cellVariance(frames[1].Planes[0], frames[0].Planes[0], 16*col, 16*row); got != want {
				t.Errorf("cell %d,%d: variance %v, want %v", col, row, got, want)
			}
		}
	}
}
