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

func rgbOf(c curve.Chroma, y, cb, cr float64) [3]float64 {
	r, g, b := c.RGB(curve.FileCode(y), curve.FileCode(cb), curve.FileCode(cr))
	return [3]float64{float64(r), float64(g), float64(b)}
}

// TestMeterAgainstCurve reads each pixel by the curve's own formula, in every layout.
func TestMeterAgainstCurve(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	q := geometry.Quad{{X: 3, Y: 2}, {X: 21, Y: 4}, {X: 19, Y: 15}, {X: 2, Y: 13}}
	for _, layout := range []decode.Layout{decode.YCbCr, decode.RGB, decode.Gray} {
		f := randomFrame(rng, layout, 10, 24, 18, 1, 1)
		if layout == decode.YCbCr {
			f = randomFrame(rng, layout, 10, 24, 18, 2, 2)
		}
		r, m := reading(t, "S-Log3"), curve.BT2020
		c := r.Chroma(m)
		var luma, n float64
		var rgb [3]float64
		for y := range 18 {
			for x := range 24 {
				if !q.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) {
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
					code = rgbOf(c, l, at(1, x/2, y/2), at(2, x/2, y/2))
				}
				n++
				luma += float64(r.Light(curve.FileCode(l)))
				for k := range rgb {
					rgb[k] += float64(r.Light(curve.FileCode(code[k])))
				}
			}
		}
		got := newMeter(f, r, m, 0, &defaults.Search).over(q)
		if got.Pixels != int(n) || math.Abs(float64(got.Luma)*n/luma-1) > lightTolerance {
			t.Errorf("layout %d: luma %.6f of %d pixels, want %.6f of %.0f", layout, got.Luma, got.Pixels, luma/n, n)
		}
		for k := range rgb {
			if math.Abs(float64(got.RGB[k])*n/rgb[k]-1) > lightTolerance {
				t.Errorf("layout %d: channel %d %.6f, want %.6f", layout, k, got.RGB[k], rgb[k]/n)
			}
		}
	}
}

// TestMeterAveragesLight: noise around a dark level must not bias it, as averaging codes does.
func TestMeterAveragesLight(t *testing.T) {
	const side = 64
	r, m, rng := reading(t, "S-Log3"), curve.BT709, rand.New(rand.NewPCG(1, 42))
	want := float64(curve.Stops(-5).Light())
	f := &decode.Frame{Layout: decode.RGB, Bits: r.Bits}
	for k := range f.Planes {
		f.Planes[k] = plane(side, side)
		for y := range side {
			row := f.Planes[k].Row(y)
			for x := range row {
				code := r.CodeOf(curve.Light(want + want*rng.NormFloat64())) // SNR 1
				row[x] = uint16(math.Max(math.Round(float64(code)), 0))
			}
		}
	}
	l := newMeter(f, r, m, 0, &defaults.Search).over(geometry.Upright(2, 2, 60, 60))
	// four standard errors of the mean of 3600 pixels at SNR 1, luma's noise being 0.75 of a channel's
	if tolerance := 4 * 0.75 * want / 60; math.Abs(float64(l.Luma)-want) > tolerance {
		t.Errorf("%.5f, want %.5f within %.5f", l.Luma, want, tolerance)
	}
}

func TestMeterCeiling(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(10, 10)), decode.Gray, 10, 20, 20, 1, 1)
	whole := geometry.Quad{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 20}, {X: 0, Y: 20}}
	high := 0.0
	for y := range 20 {
		for _, c := range f.Planes[0].Row(y) {
			if c >= 700 {
				high++
			}
		}
	}
	if got := newMeter(f, reading(t, "S-Log3"), curve.BT709, 700,
		&defaults.Search).over(whole).Clipped; float64(got) != high/400 {
		t.Errorf("clipped %.4f, want %.4f", got, high/400)
	}
}

// TestMeterOutside: an area without a pixel's centre, or beyond the frame, reads the nearest one.
func TestMeterOutside(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(11, 11)), decode.YCbCr, 10, 9, 7, 2, 2)
	m := newMeter(f, reading(t, "S-Log3"), curve.BT709, 0, &defaults.Search)
	for _, q := range []geometry.Quad{box(geometry.Pt(4.1, 3.1), 0.01), box(geometry.Pt(-50, 3), 2),
		box(geometry.Pt(500, 500), 2)} {
		if l := m.over(q); l.Pixels != 1 || math.IsNaN(float64(l.Luma)) {
			t.Errorf("%v: %+v", q, l)
		}
	}
}
