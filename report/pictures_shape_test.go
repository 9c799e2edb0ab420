package report

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stopledger/analyze"
)

func TestFileStem(t *testing.T) {
	paths := []string{
		"a/take.mov", "b/take.mov", "a/Take.mov", `a\take.mov`, "../../etc/passwd", "/", "", "..", ".", "CON", "день.mov",
		"<img src=x>.mov", "a/\x00\n.mov", strings.Repeat("long", 99) + ".mov", "take\u202e.mov", "take .mov",
	}
	seen := map[string]string{}
	for _, p := range paths {
		stem := fileStem(p)
		folded := strings.ToLower(stem) // some file systems do not tell case
		if other, double := seen[folded]; double {
			t.Errorf("%q and %q are both %q", p, other, stem)
		}
		seen[folded] = p
		if len(stem) > 60 || strings.Trim(stem, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-") != "" || strings.HasPrefix(stem, "-") {
			t.Errorf("%q becomes %q", p, stem)
		}
		if page := clipPage(p); !filepath.IsLocal(page) || filepath.Dir(page) != clipFolder {
			t.Errorf("the page of %q is %q", p, page)
		}
	}
}

func FuzzFileStem(f *testing.F) {
	f.Add("a/b.mov")
	f.Add("../\xff/..")
	f.Fuzz(func(t *testing.T, path string) {
		if page := clipPage(path); !filepath.IsLocal(page) || strings.ContainsAny(page, `<>"'&\ `) {
			t.Errorf("the page of %q is %q", path, page)
		}
	})
}

func TestClipNameAndDir(t *testing.T) {
	for path, want := range map[string][2]string{
		"a/b/c.mov": {"a/b", "c.mov"}, "c.mov": {".", "c.mov"}, "/c.mov": {"/", "c.mov"}, `d:\day\c.mov`: {`d:\day`, "c.mov"},
	} {
		if got := [2]string{clipDir(path), clipName(path)}; got != want {
			t.Errorf("%q is %q, want %q", path, got, want)
		}
	}
}

func TestSharedFolders(t *testing.T) {
	for want, paths := range map[string][]string{
		"/shoot/":  {"/shoot/day1/a.mov", "/shoot/day2/b.mov"},
		"/":        {"/shoot/a.mov", "/shoot/day/b.mov"},
		"a/b/":     {"a/b/c/x.mov", "a/b/c/y.mov"},
		"":         {"x.mov", "a/y.mov"},
		`d:\`:      {`d:\one\x.mov`, `d:\two\y.mov`},
		"/deep/x/": {"/deep/x/y/a.mov"},
	} {
		if got := sharedFolders(paths); got != want {
			t.Errorf("%q share %q, want %q", paths, got, want)
		}
	}
	if got := sharedFolders(nil); got != "" {
		t.Errorf("no clips share %q", got)
	}
}

func TestTurned(t *testing.T) {
	s := flatStill(3, 2, 0)
	for i := range s.R {
		s.R[i], s.Clipped[i] = float32(i), uint8(i)
	}
	// 0 1 2
	// 3 4 5
	for deg, want := range map[int][]float32{
		0: {0, 1, 2, 3, 4, 5}, 90: {3, 0, 4, 1, 5, 2}, 180: {5, 4, 3, 2, 1, 0}, 270: {2, 5, 1, 4, 0, 3}, 45: {0, 1, 2, 3, 4, 5},
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

// TestTurnedPointFollowsThePicture marks one pixel and looks for it where turnedPoint says.
func TestTurnedPointFollowsThePicture(t *testing.T) {
	for _, deg := range []int{0, 90, 180, 270} {
		s := flatStill(7, 5, 0)
		s.R[1*7+2] = 1 // the pixel between corners 2,1 and 3,2
		seen := turned(s, deg)
		c := Clip{Width: 7, Height: 5, Rotation: deg}
		x0, y0 := turnedPoint(c, 2, 1)
		x1, y1 := turnedPoint(c, 3, 2)
		if at := min(y0, y1)*seen.Width + min(x0, x1); seen.R[at] != 1 {
			t.Errorf("%d degrees: the pixel is not at %d,%d", deg, min(x0, x1), min(y0, y1))
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
			s.R[i], s.Code[i], s.Clipped[i] = random.Float32(), uint16(random.IntN(1024)), uint8(random.IntN(8))
		}
		got := reduced(s, 10)
		n := int(got.Scale)
		if got.Width > 10 && size[1] > 1 {
			t.Errorf("%v is still %d wide", size, got.Width)
		}
		for y := range got.Height {
			for x := range got.Width {
				mean, code, marks := slowMean(s, x*n, y*n, n)
				i := y*got.Width + x
				if math.Abs(float64(got.R[i])-mean) > meanTolerance || math.Abs(float64(got.Code[i])-code) > 0.51 || got.Clipped[i] != marks {
					t.Fatalf("%v at %d,%d: %g %d %d, want %g %g %d", size, x, y, got.R[i], got.Code[i], got.Clipped[i], mean, code, marks)
				}
			}
		}
	}
}

func slowMean(s *analyze.Still, x0, y0, n int) (mean, code float64, marks uint8) {
	for y := y0; y < y0+n; y++ {
		for x := x0; x < x0+n; x++ {
			i := y*s.Width + x
			mean += float64(s.R[i]) / float64(n*n)
			code += float64(s.Code[i]) / float64(n*n)
			marks |= s.Clipped[i]
		}
	}
	return mean, code, marks
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
