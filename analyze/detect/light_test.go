package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// lightTolerance is relative: the table is read with straight lines between codes.
const lightTolerance = 2e-4

// TestMeterAgainstCurve reads each pixel by the curve's own formula, in every layout.
func TestMeterAgainstCurve(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	q := geometry.Quad{{3, 2}, {21, 4}, {19, 15}, {2, 13}}
	for _, layout := range []decode.Layout{decode.YCbCr, decode.RGB, decode.Gray} {
		f := randomFrame(rng, layout, 10, 24, 18, 1, 1)
		if layout == decode.YCbCr {
			f = randomFrame(rng, layout, 10, 24, 18, 2, 2)
		}
		r, m := sLog3(), curve.BT2020
		c := r.Chroma(m)
		var luma, n float64
		var rgb [3]float64
		for y := range 18 {
			for x := range 24 {
				if !q.Contains(geometry.Point{float64(x) + 0.5, float64(y) + 0.5}) {
					continue
				}
				at := func(i, x, y int) float64 { return float64(f.Planes[i].Row(y)[x]) }
				code := [3]float64{at(0, x, y), at(0, x, y), at(0, x, y)}
				l := code[0]
				switch layout {
				case decode.RGB:
					code = [3]float64{at(0, x, y), at(1, x, y), at(2, x, y)}
					l = m.Kr*code[0] + m.Kg()*code[1] + m.Kb*code[2]
				case decode.YCbCr:
					code[0], code[1], code[2] = c.RGB(l, at(1, x/2, y/2), at(2, x/2, y/2))
				}
				n++
				luma += r.Linear(l)
				for k := range rgb {
					rgb[k] += r.Linear(code[k])
				}
			}
		}
		got := newMeter(f, r, m, 0).over(q)
		if got.Pixels != int(n) || math.Abs(got.Luma*n/luma-1) > lightTolerance {
			t.Errorf("layout %d: luma %.6f of %d pixels, want %.6f of %.0f", layout, got.Luma, got.Pixels, luma/n, n)
		}
		for k := range rgb {
			if math.Abs(got.RGB[k]*n/rgb[k]-1) > lightTolerance {
				t.Errorf("layout %d: channel %d %.6f, want %.6f", layout, k, got.RGB[k], rgb[k]/n)
			}
		}
	}
}

// TestMeterAveragesLight: noise around a dark level must not bias it, as averaging codes does.
func TestMeterAveragesLight(t *testing.T) {
	s := newScene(64, 64, 1)
	s.fill(func(x, y float64) [3]float64 { return [3]float64{0.18, 0.18, 0.18} })
	s.stops, s.blurPx, s.greySNR, s.floorStops = -5, 0, 40, -5
	p := s.record(newPosed(1))
	l := newMeter(p.frame, p.reading, p.matrix, 0).over(geometry.Quad{{2, 2}, {62, 2}, {62, 62}, {2, 62}})
	want := curve.FromStops(-5)
	// four standard errors of the mean of 3600 pixels at SNR 1, luma's noise being 0.75 of a channel's
	if tolerance := 4 * 0.75 * want / 60; math.Abs(l.Luma-want) > tolerance {
		t.Errorf("%.5f, want %.5f within %.5f", l.Luma, want, tolerance)
	}
}

func TestMeterCeiling(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(10, 10)), decode.Gray, 10, 20, 20, 1, 1)
	whole := geometry.Quad{{0, 0}, {20, 0}, {20, 20}, {0, 20}}
	high := 0.0
	for y := range 20 {
		for _, c := range f.Planes[0].Row(y) {
			if c >= 700 {
				high++
			}
		}
	}
	if got := newMeter(f, sLog3(), curve.BT709, 700).over(whole).Clipped; got != high/400 {
		t.Errorf("clipped %.4f, want %.4f", got, high/400)
	}
}

// TestMeterOutside: an area without a pixel's centre, or beyond the frame, reads the nearest one.
func TestMeterOutside(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(11, 11)), decode.YCbCr, 10, 9, 7, 2, 2)
	m := newMeter(f, sLog3(), curve.BT709, 0)
	for _, q := range []geometry.Quad{box(geometry.Point{4.1, 3.1}, 0.01), box(geometry.Point{-50, 3}, 2), box(geometry.Point{500, 500}, 2)} {
		if l := m.over(q); l.Pixels != 1 || math.IsNaN(l.Luma) {
			t.Errorf("%v: %+v", q, l)
		}
	}
}
