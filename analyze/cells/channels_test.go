package cells

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// TestClippingInFixedPoint compares counts in fixed point with the matrix in floating point:
// they may differ only for samples within the rounding of the factors, 2^-15 of a chroma code's
// distance from the middle and 2^-15 of the limit.
func TestClippingInFixedPoint(t *testing.T) {
	for _, bits := range []int{8, 10, 12, 16} {
		top := math.Exp2(float64(bits))
		for _, m := range []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020} {
			c := testframes.Reading(t, bits).Chroma(m)
			codes := [3]curve.FileCode{curve.FileCode(0.8 * top), curve.FileCode(0.85 * top), curve.FileCode(0.9 * top)}
			limits := NewThresholds(codes, c)
			random := rand.New(rand.NewPCG(uint64(bits), 1))
			for range 4000 {
				y, u, v := random.IntN(int(top)), random.IntN(int(top)), random.IntN(int(top))
				row := func(v int) []uint16 { return []uint16{uint16(v)} }
				var cell [1]Cell
				countRow(cell[:], &limits, row(y), row(y), row(u), row(v), 1, 16)
				var rgb [3]curve.FileCode
				rgb[0], rgb[1], rgb[2] = c.RGB(curve.FileCode(y), curve.FileCode(u), curve.FileCode(v))
				for i, value := range rgb {
					slack := (2*c.Mid + 1) / (1 << 15)
					got := cell[0].Clipped[i] == 1
					if got != (value >= codes[i]) && math.Abs(float64(value-codes[i])) > slack {
						t.Fatalf("%d bits, %s: channel %d at %.3f of Y'CbCr %d %d %d clips: %v; the limit is %.3f",
							bits, m.Name, i, value, y, u, v, got, codes[i])
					}
				}
			}
		}
	}
}

// TestNoCeiling: channels without a ceiling do not clip.
func TestNoCeiling(t *testing.T) {
	none := curve.FileCode(math.Inf(1))
	for _, k := range testframes.Kinds {
		frames := testframes.Make(k, 32, 32, 10, 1, testframes.Contents(10, 1)["high"])
		how := Walk{Reading: testframes.Reading(t, 10), Matrix: curve.BT709}
		all := NewThresholds([3]curve.FileCode{none, none, none}, how.Reading.Chroma(how.Matrix))
		for _, how.Thresholds = range []Thresholds{{}, all} {
			walkAll(how, frames, func(f *Frame) {
				for _, c := range f.Cells {
					if c.Any != 0 {
						t.Errorf("%s: %d samples clip without a ceiling", k.Name, c.Any)
					}
				}
			})
		}
	}
}

// TestChannelsAreExact compares the rows of R', G' and B' with the matrix in floating point.
func TestChannelsAreExact(t *testing.T) {
	for _, k := range testframes.Kinds {
		for _, bits := range []int{8, 10, 16} {
			for _, size := range walkSizes {
				f := testframes.Make(k, size[0], size[1], bits, 1, testframes.Contents(bits, 6)["random"])[0]
				c := testframes.Reading(t, bits).Chroma(curve.BT2020)
				r := Channels(f, c)
				for i := range r.Height * r.Width {
					y := i / r.Width
					got := r.Block(y - y%Size)
					from := y % Size * r.Width
					for c := range got {
						got[c] = got[c][from : from+r.Width]
					}
					checkChannels(t, f, k, c, got, i%r.Width, y)
				}
			}
		}
	}
}

func checkChannels(t *testing.T, f *decode.Frame, k testframes.Kind, c curve.Chroma, got [3][]float32, x, y int) {
	t.Helper()
	at := func(p, x, y int) curve.FileCode {
		q := f.Planes[p]
		return curve.FileCode(q.Samples[min(y, q.Height-1)*q.Stride+min(x, q.Width-1)])
	}
	var want [3]curve.FileCode
	switch f.Layout {
	case decode.Gray:
		want = [3]curve.FileCode{at(0, x, y), at(0, x, y), at(0, x, y)}
	case decode.RGB:
		want = [3]curve.FileCode{at(0, x, y), at(1, x, y), at(2, x, y)}
	default:
		var luma curve.FileCode
		for _, d := range [][2]int{{0, 0}, {k.X - 1, 0}, {0, k.Y - 1}, {k.X - 1, k.Y - 1}} {
			luma += at(0, x*k.X+d[0], y*k.Y+d[1]) / 4
		}
		want[0], want[1], want[2] = c.RGB(luma, at(1, x, y), at(2, x, y))
	}
	for i := range want {
		// Single precision: a part in ten million of the largest numbers that are added.
		if math.Abs(float64(got[i][x])-float64(want[i])) > 1e-6*math.Exp2(float64(f.Bits)) {
			t.Fatalf("%s, %d bits: channel %d at %d,%d is %v, want %v", k.Name, f.Bits, i, x, y, got[i][x], want[i])
		}
	}
}

// TestRounding draws channels of even light at random places between codes, rounds Y', Cb and Cr
// to whole codes, and compares the error of R', G' and B' with what is said of it.
func TestRounding(t *testing.T) {
	for _, k := range testframes.Kinds {
		c := testframes.Reading(t, 10).Chroma(curve.BT709)
		random := rand.New(rand.NewPCG(4, 4))
		var square [3]float64
		const n = 20000
		rounding := func() float64 { return random.Float64() - 0.5 }
		for range n {
			var e [3]float64
			if k.Layout == decode.YCbCr {
				var luma float64
				for range k.X * k.Y {
					luma += rounding() / float64(k.X*k.Y)
				}
				u, v := rounding(), rounding()
				e = [3]float64{luma + c.CrR*v, luma + c.CbG*u + c.CrG*v, luma + c.CbB*u}
			} else {
				e = [3]float64{rounding(), rounding(), rounding()}
			}
			for i := range e {
				square[i] += e[i] * e[i] / n
			}
		}
		want := Rounding(testframes.Make(k, 32, 32, 10, 1, testframes.Contents(10, 1)["low"])[0], c)
		for i := range want {
			// Four standard errors of a variance of n samples, less than normal ones'.
			if math.Abs(square[i]/want[i]-1) > 4*math.Sqrt(2.0/n) {
				t.Errorf("%s, channel %d: variance %.4f, want %.4f", k.Name, i, square[i], want[i])
			}
		}
	}
}
