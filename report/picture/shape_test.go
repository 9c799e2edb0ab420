package picture

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/analyze/still"
)

func TestTurned(t *testing.T) {
	s := flatStill(3, 2, 0)
	for i := range s.R {
		s.R[i], s.Clipped[i] = float32(i), uint8(i)
	}
	// 0 1 2
	// 3 4 5
	for deg, want := range map[int][]float32{
		0: {0, 1, 2, 3, 4, 5}, 90: {3, 0, 4, 1, 5, 2}, 180: {5, 4, 3, 2, 1, 0}, 270: {2, 5, 1, 4, 0, 3}, 45: {0, 1, 2, 3,
			4, 5},
	} {
		got := turned(s, deg)
		if !slices.Equal(got.R, want) || float32(got.Clipped[0]) != want[0] {
			t.Errorf("%d degrees: %v, want %v", deg, got.R, want)
		}
		if wide := deg != 90 && deg != 270; wide != (got.Width == 3) {
			t.Errorf("%d degrees: %d x %d", deg, got.Width, got.Height)
		}
	}
}

// meanTolerance is relative: sums of float32 in another order differ in the last bits.
const meanTolerance = 1e-5

func TestReducedIsTheMeanOfWholeSquares(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for _, size := range [][2]int{{7, 5}, {30, 9}, {31, 10}, {100, 1}} {
		s := flatStill(size[0], size[1], 0)
		for i := range s.R {
			s.R[i], s.Clipped[i] = random.Float32(), uint8(random.IntN(8))
		}
		got := reduced(s, 10)
		n := int(got.Scale)
		if got.Width > 10 && size[1] > 1 {
			t.Errorf("%v is still %d wide", size, got.Width)
		}
		for y := range got.Height {
			for x := range got.Width {
				mean, marks := slowMean(s, x*n, y*n, n)
				i := y*got.Width + x
				if math.Abs(float64(got.R[i])-mean) > meanTolerance || got.Clipped[i] != marks {
					t.Fatalf("%v at %d,%d: %g %d, want %g %d", size, x, y, got.R[i], got.Clipped[i], mean, marks)
				}
			}
		}
	}
}

func slowMean(s *still.Still, x0, y0, n int) (mean float64, marks uint8) {
	for y := y0; y < y0+n; y++ {
		for x := x0; x < x0+n; x++ {
			i := y*s.Width + x
			mean += float64(s.R[i]) / float64(n*n)
			marks |= s.Clipped[i]
		}
	}
	return mean, marks
}

func TestCroppedIsTheMiddle(t *testing.T) {
	s := flatStill(6, 4, 0)
	for i := range s.R {
		s.R[i] = float32(i)
	}
	got := cropped(s, 2, 2)
	if got.X != 2 || got.Y != 1 || !slices.Equal(got.R, []float32{8, 9, 14, 15}) {
		t.Errorf("at %d,%d: %v", got.X, got.Y, got.R)
	}
	if whole := cropped(s, 99, 99); whole.Width != 6 || whole.Height != 4 {
		t.Errorf("a crop larger than the still is %d x %d", whole.Width, whole.Height)
	}
}
