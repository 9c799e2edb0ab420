package analyze

import (
	"fmt"
	"image"
	"math"
	"slices"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/synth"
)

// TestPatchIsExact compares the sums over areas of odd sizes and places with those of a loop over
// their pixels.
func TestPatchIsExact(t *testing.T) {
	const width, height, frames = 61, 47, 3
	for name, value := range contents(12, 2) {
		for _, area := range []image.Rectangle{image.Rect(0, 0, 1, 1), image.Rect(60, 46, 61, 47), image.Rect(3, 5, 36, 38), image.Rect(0, 0, 61, 47), image.Rect(7, 1, 23, 17)} {
			film := makeFrames(kinds[0], width, height, 12, frames, value)
			var got patchSums
			for i, f := range film {
				var before decode.Plane
				if i > 0 {
					before = film[i-1].Planes[0]
				}
				addPatch(&got, area, f.Planes[0], before, 1<<12)
			}
			want := slowPatch(film, area)
			if !slices.Equal(got.hist, want.hist) || !slices.Equal(got.blocks, want.blocks) || !slices.Equal(got.pixels, want.pixels) || got.free != want.free {
				t.Errorf("%s, %v: histogram, blocks, pixels or freedom differ", name, area)
			}
			if math.Abs(got.diffSq-want.diffSq) > 1e-9*want.diffSq {
				t.Errorf("%s, %v: squared differences %v, want %v", name, area, got.diffSq, want.diffSq)
			}
		}
	}
}

// slowPatch adds up an area pixel by pixel.
func slowPatch(film []*decode.Frame, area image.Rectangle) patchSums {
	across := (area.Dx() + 15) / 16
	s := patchSums{hist: make([]uint64, 1<<12), pixels: make([]uint32, area.Dx()*area.Dy()), blocks: make([]uint64, across*((area.Dy()+15)/16))}
	for i, f := range film {
		diff, square, n := make([]float64, len(s.blocks)), make([]float64, len(s.blocks)), make([]float64, len(s.blocks))
		for y := area.Min.Y; y < area.Max.Y; y++ {
			for x := area.Min.X; x < area.Max.X; x++ {
				v := slowLuma(f, curve.BT709, x, y)
				block := (y-area.Min.Y)/16*across + (x-area.Min.X)/16
				s.hist[v]++
				s.pixels[(y-area.Min.Y)*area.Dx()+x-area.Min.X] += uint32(v)
				s.blocks[block] += uint64(v)
				if i > 0 {
					d := float64(v - slowLuma(film[i-1], curve.BT709, x, y))
					diff[block] += d
					square[block] += d * d
				}
				n[block]++
			}
		}
		for block := range n {
			if i > 0 && n[block] > 1 {
				s.diffSq += square[block] - diff[block]*diff[block]/n[block]
				s.free += n[block] - 1
			}
		}
	}
	return s
}

// TestChannelsAreExact compares the rows of R', G' and B' with the matrix in floating point.
func TestChannelsAreExact(t *testing.T) {
	for _, k := range kinds {
		for _, bits := range []int{8, 10, 16} {
			for _, size := range walkSizes {
				f := makeFrames(k, size[0], size[1], bits, 1, contents(bits, 6)["random"])[0]
				c := readingOf(t, bits).Chroma(curve.BT2020)
				r := channelsOf(f, c)
				for y := range r.height {
					got := r.row(y)
					for x := range r.width {
						checkChannels(t, f, k, c, got, x, y)
					}
				}
			}
		}
	}
}

func checkChannels(t *testing.T, f *decode.Frame, k kind, c curve.Chroma, got [3][]float32, x, y int) {
	t.Helper()
	at := func(p, x, y int) float64 {
		q := f.Planes[p]
		return float64(q.Samples[min(y, q.Height-1)*q.Stride+min(x, q.Width-1)])
	}
	var want [3]float64
	switch f.Layout {
	case decode.Gray:
		want = [3]float64{at(0, x, y), at(0, x, y), at(0, x, y)}
	case decode.RGB:
		want = [3]float64{at(0, x, y), at(1, x, y), at(2, x, y)}
	default:
		var luma float64
		for _, d := range [][2]int{{0, 0}, {k.x - 1, 0}, {0, k.y - 1}, {k.x - 1, k.y - 1}} {
			luma += at(0, x*k.x+d[0], y*k.y+d[1]) / 4
		}
		want[0], want[1], want[2] = c.RGB(luma, at(1, x, y), at(2, x, y))
	}
	for i := range want {
		// Single precision: a part in ten million of the largest numbers that are added.
		if math.Abs(float64(got[i][x])-want[i]) > 1e-6*math.Exp2(float64(f.Bits)) {
			t.Fatalf("%s, %d bits: channel %d at %d,%d is %v, want %v", k.name, f.Bits, i, x, y, got[i][x], want[i])
		}
	}
}

// TestDetailIsExact compares one cell's closer look with double precision: noise, pattern, bands
// and covariances of a cell less its plane, found here by projection on three vectors.
func TestDetailIsExact(t *testing.T) {
	film := makeFrames(kinds[2], 16, 16, 10, 2, contents(10, 21)["random"])
	d := look(film[1], film[0], film[1].Planes[0], film[0].Planes[0], readingOf(t, 10).Chroma(curve.BT709))
	if len(d.luma) != 1 {
		t.Fatalf("%d cells", len(d.luma))
	}
	var change, mean [256]float64
	for i := range change {
		now, was := float64(slowLuma(film[1], curve.BT709, i%16, i/16)), float64(slowLuma(film[0], curve.BT709, i%16, i/16))
		change[i], mean[i] = now-was, (now+was)/2
	}
	slowPlane(&change)
	slowPlane(&mean)
	var square, fourth, fixed, across, down float64
	var rows, columns [16]float64
	for i, v := range change {
		square += v * v
		fourth += v * v * v * v
		fixed += mean[i] * mean[i]
		rows[i/16] += mean[i] / 16
		columns[i%16] += mean[i] / 16
		if i%16 < 14 {
			across += v * change[i+2] / (2 * 16 * 14)
		}
		if i < 16*13 {
			down += v * change[i+48] / (2 * 16 * 13)
		}
	}
	var row, column float64
	for i := range rows {
		row += rows[i] * rows[i] / 14
		column += columns[i] * columns[i] / 14
	}
	c := d.luma[0]
	for what, v := range map[string][2]float64{
		"variance": {c.variance, square / 2 / 253}, "fourth moment": {c.fourth, fourth / 256 / math.Pow(square/253, 2)}, "pattern": {c.fixed, fixed / 253},
		"rows": {c.row, row}, "columns": {c.column, column},
	} {
		near(t, what, v[0], v[1], 1e-4)
	}
	// Covariances are differences of large numbers.
	if math.Abs(c.across[1]-across) > 1e-4*c.variance || math.Abs(c.down[2]-down) > 1e-4*c.variance {
		t.Errorf("covariances %v %v, want %v %v", c.across[1], c.down[2], across, down)
	}
}

// slowPlane takes mean and both slopes out of a cell.
func slowPlane(v *[256]float64) {
	for _, vector := range []func(i int) float64{
		func(int) float64 { return 1 }, func(i int) float64 { return float64(i%16) - 7.5 }, func(i int) float64 { return float64(i/16) - 7.5 },
	} {
		var along, length float64
		for i := range v {
			along += v[i] * vector(i)
			length += vector(i) * vector(i)
		}
		for i := range v {
			v[i] -= along / length * vector(i)
		}
	}
}

// TestPlacementInNoise averages light, not codes, and keeps what noise takes below black: with
// noise of eight codes, clamping it would read 0.36 stop too bright at -8 stops of S-Log3 (worked
// with numpy), and codes averaged before they are decoded 0.016 too dark at its kink.
func TestPlacementInNoise(t *testing.T) {
	for _, stops := range []float64{-8, -7, -6, -5, -4, -3, -2, 0} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling = 256, 160, synth.S420
		cam.Noise = synth.Noise{Read: 8.0 / 6774 / 0.74} // 0.74 of a channel's noise is left in luma
		grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
		set := settings(cam)
		set.Patches = []Patch{{image.Rect(0, 0, 256, 160), 0.18}}
		p := measure(t, expose(t, cam, synth.Shot{Scene: grey, Frames: 4, Seed: 2, Stops: stops}), set).Placement
		// Four standard errors of the mean light.
		sampled := 4 * 8.0 / 6774 / curve.FromStops(stops) / math.Sqrt(256*160*4) / math.Ln2
		if d := p.Stops - stops; math.Abs(d) > sampled+placementLossless/2 {
			t.Errorf("placed %+.4f, want %+.0f within %.4f", p.Stops, stops, sampled+placementLossless/2)
		}
	}
}

// TestPlacementIntervals: shading over the card, drift over the clip and a card of another
// reflectance.
func TestPlacementIntervals(t *testing.T) {
	for _, tc := range []struct {
		name        string
		shot        synth.Shot
		reflectance float64
		stops       float64
		wide        bool
	}{
		{"even", synth.Shot{}, 0.18, 0, false},
		{"white side", synth.Shot{Stops: 1}, 0.9, 1 + math.Log2(0.18/0.9), false},
		{"shaded", synth.Shot{Gradient: synth.Gradient{Across: 1}}, 0.18, 0, true},
		{"fading", synth.Shot{Drift: 0.5}, 0.18, 0.5 * 95 / 25 / 2, true},
	} {
		t.Run(fmt.Sprint(tc.name), func(t *testing.T) {
			tc.shot.Frames = 96
			f, set := greyWall(t, tc.shot)
			set.Patches[0].Reflectance = tc.reflectance
			if tc.shot.Gradient.Across != 0 {
				set.Patches[0].Area = image.Rect(0, 0, 40, 48)
				tc.stops = math.Log2((math.Exp2(0.125) - math.Exp2(-0.5)) / (0.625 * math.Ln2))
			}
			p := measure(t, f, set).Placement
			if !(p.Low <= tc.stops && tc.stops <= p.High) {
				t.Errorf("interval %.4f..%.4f does not hold %.4f", p.Low, p.High, tc.stops)
			}
			if wide := p.High-p.Low > 0.05; wide != tc.wide {
				t.Errorf("interval %.4f..%.4f, wide %v", p.Low, p.High, tc.wide)
			}
		})
	}
}
