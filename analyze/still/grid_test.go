package still

import (
	"math"
	"slices"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// TestGrid: each block has the mean and the standard deviation of the light of its luma samples, and the
// channels that clip in it, worked out sample by sample.
func TestGrid(t *testing.T) {
	r := reading(t)
	for _, width := range []int{61, 1280, 1281, 4100} {
		f := testframes.Make(testframes.Kinds[4], width, 23, 10, 1, testframes.Contents(10, 6)["grainy"])[0]
		const ceiling = 900
		c := NewCamera(r.Table(), curve.BT709, [3]curve.FileCode{ceiling, ceiling, ceiling})
		g := c.Frame(f).Grid
		if g.Width*g.Side > width || g.Width > 320 || g.Width*g.Height != len(g.Luma) || g.Height == 0 {
			t.Fatalf("%d across: %d x %d blocks of %d pixels", width, g.Width, g.Height, g.Side)
		}
		for at := range g.Luma {
			var sum, squares float64
			clipped, n := uint8(0), float64(g.Side*g.Side)
			for i := range g.Side * g.Side {
				code := f.Planes[0].Row(at/g.Width*g.Side + i/g.Side)[at%g.Width*g.Side+i%g.Side]
				light := float64(r.Light(curve.FileCode(code)))
				sum, squares = sum+light, squares+light*light
				if code >= ceiling {
					clipped = 7
				}
			}
			mean := sum / n
			spread := math.Sqrt(math.Max(squares/n-mean*mean, 0))
			for name, pair := range map[string][2]float64{"luma": {float64(g.Luma[at]), mean},
				"red": {float64(g.R[at]), mean}, "spread": {float64(g.Spread[at]), spread}} {
				if math.Abs(pair[0]-pair[1]) > 1e-5*math.Abs(pair[1])+1e-7 {
					t.Fatalf("%d across, block %d: %s is %g, want %g", width, at, name, pair[0], pair[1])
				}
			}
			if g.Clipped[at] != clipped {
				t.Fatalf("%d across, block %d: clipped %03b, want %03b", width, at, g.Clipped[at], clipped)
			}
		}
		for code, light := range g.Light {
			if want := float64(r.Light(curve.FileCode(code))); math.Abs(float64(light)-want) > 1e-6*math.Abs(want) {
				t.Fatalf("code %d is light %g, want %g", code, light, want)
			}
		}
	}
}

// TestChannels: the waveform of a channel of an R'G'B' frame is that of the same samples as luma, and a
// neutral frame in Y'CbCr has three times that of its luma, less what chroma has no sample for.
func TestChannels(t *testing.T) {
	r := reading(t)
	c := NewCamera(r.Table(), curve.BT709, noCeiling)
	made := testframes.Make(testframes.Kinds[3], 700, 22, 10, 1, testframes.Contents(10, 5)["grainy"])[0]
	for k, w := range c.Frame(made).Channels {
		alone := *made
		alone.Layout, alone.Planes = decode.Gray, [3]decode.Plane{made.Planes[k]}
		if want := c.Waveform(&alone); !slices.Equal(w.Counts, want.Counts) {
			t.Errorf("channel %d is not counted as it is recorded", k)
		}
	}
	for _, kind := range testframes.Kinds[:3] {
		level := func(_, plane, x, y int) uint16 {
			if plane > 0 {
				return 512
			}
			return uint16(300 + x/2 + y/2) // alike in all samples of luma that share one of chroma
		}
		f := testframes.Make(kind, 480, 22, 10, 1, level)[0]
		luma := c.Waveform(f)
		for k, w := range c.Frame(f).Channels {
			for i, n := range w.Counts {
				if column := i % w.Columns; f.SubX() == 1 && f.SubY() == 1 && n != luma.Counts[i] ||
					column%f.SubX() != 0 && n != 0 || n > luma.Counts[i] {
					t.Fatalf("%s, channel %d: %d samples at %d, luma has %d", kind.Name, k, n, i, luma.Counts[i])
				}
			}
		}
	}
	if c.Frame(testframes.Make(testframes.Kinds[4], 64, 22, 10, 1,
		testframes.Contents(10, 5)["grainy"])[0]).Channels != nil {
		t.Error("a frame without colour has channels")
	}
}
