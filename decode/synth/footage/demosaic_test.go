package footage

import (
	"math"
	"testing"
)

// mosaic takes from each photosite its own colour.
func mosaic(m *Image) []float32 {
	raw := make([]float32, m.Width*m.Height)
	for i := range raw {
		raw[i] = m.Planes[site(i%m.Width, i/m.Width)][i]
	}
	return raw
}

// Of one colour every photosite gets that colour, borders and corners included.
func TestDemosaicKeepsFlatColour(t *testing.T) {
	for _, size := range [][2]int{{2, 2}, {4, 2}, {16, 10}} {
		m := drawn(size[0], size[1], func(c int, _, _ float64) float64 { return []float64{0.75, 0.25, 1.5}[c] })
		out := demosaic(mosaic(m), m.Width, m.Height)
		for c := range out.Planes {
			for i, v := range out.Planes[c] {
				if v != m.Planes[c][i] {
					t.Errorf("%v: channel %d is %g at photosite %d, want %g", size, c, v, i, m.Planes[c][i])
				}
			}
		}
	}
}

// Colour that changes along straight lines comes back exactly inside, as means of neighbours on
// either side are its middle.
func TestDemosaicKeepsLines(t *testing.T) {
	m := drawn(24, 18, func(c int, x, y float64) float64 {
		return 1 + []float64{0.5, -0.25, 0.125}[c]*x/16 + []float64{-0.125, 0.5, 0.25}[c]*y/16
	})
	out := demosaic(mosaic(m), m.Width, m.Height)
	for c := range out.Planes {
		for y := 1; y < m.Height-1; y++ {
			for x := 1; x < m.Width-1; x++ {
				if got, want := out.Row(c, y)[x], m.Row(c, y)[x]; math.Abs(float64(got-want)) > rounded {
					t.Fatalf("channel %d at (%d, %d): %.7f, want %.7f", c, x, y, got, want)
				}
			}
		}
	}
}

// A photosite alone shows the weights: of red and blue 1, a half at four and a quarter at four
// neighbours; of green 1 and a quarter at four.
func TestDemosaicWeights(t *testing.T) {
	for _, at := range [][2]int{{4, 4}, {5, 4}, {4, 5}, {5, 5}} {
		own := site(at[0], at[1])
		raw := make([]float32, 100)
		raw[at[1]*10+at[0]] = 1
		out := demosaic(raw, 10, 10)
		for c := range out.Planes {
			for i, got := range out.Planes[c] {
				dx, dy := absolute(i%10-at[0]), absolute(i/10-at[1])
				want := float32(0)
				switch {
				case c != own || dx > 1 || dy > 1:
				case own == 1:
					want = [3]float32{1, 0.25, 0}[dx+dy]
				default:
					want = [3]float32{1, 0.5, 0.25}[dx+dy]
				}
				if got != want {
					t.Errorf("light at %v: channel %d has %g at %d, want %g", at, c, got, i, want)
				}
			}
		}
	}
}

func absolute(n int) int { return max(n, -n) }

// Beyond the border lies a photosite of the colour that would be there.
func TestMirrorKeepsColour(t *testing.T) {
	for _, n := range []int{2, 4, 10} {
		for i := -1; i <= n; i++ {
			got := mirror(i, n)
			if got < 0 || got >= n || (got-i)%2 != 0 {
				t.Errorf("%d of %d is mirrored to %d", i, n, got)
			}
			if i >= 0 && i < n && got != i {
				t.Errorf("%d of %d became %d", i, n, got)
			}
		}
	}
}
