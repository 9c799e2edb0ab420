package still

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

func reading(t *testing.T) curve.Reading {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Bits: 10}
}

var noCeiling = [3]curve.FileCode{curve.FileCode(math.Inf(1)), curve.FileCode(math.Inf(1)), curve.FileCode(math.Inf(1))}

// whole takes a whole frame at full size.
func whole(c *Camera, f *decode.Frame) *Still { return stillOf(c.Frame(f).Full) }

// stillOf puts rows together.
func stillOf(rows Rows) *Still {
	s := new(Still)
	s.Width, s.Height, s.Scale = rows.Size()
	for y := range s.Height {
		row := rows.Row(y)
		s.R, s.G, s.B = append(s.R, row.R...), append(s.G, row.G...), append(s.B, row.B...)
		if row.Clipped == nil {
			row.Clipped = make([]uint8, s.Width)
		}
		s.Clipped = append(s.Clipped, row.Clipped...)
	}
	return s
}

// TestShadowAreaAgainstEveryArea: over random levels the area found is the best of all that there
// are, by the mean square of what its cells lie off.
func TestShadowAreaAgainstEveryArea(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 31))
		g := cells.NewGrid(16*4+random.IntN(300), 16*4+random.IntN(250))
		c := levels.Cells{Grid: g, Stops: make([]curve.Stops, g.Cols*g.Rows)}
		for i := range c.Stops {
			c.Stops[i] = curve.Stops(-4 + 3*random.NormFloat64())
		}
		tone := curve.Stops(-6 + 4*random.Float64())
		best := math.Inf(1)
		for _, side := range []int{160, 96, 64} { // the largest that holds together
			if best <= 4 {
				break
			}
			best = math.Inf(1)
			w, h := min(side, g.Width/16*16), min(side, g.Height/16*16)
			for y := 0; y+h <= g.Height; y += 16 {
				for x := 0; x+w <= g.Width; x += 16 {
					best = min(best, offTone(c, geometry.Rect{X: x, Y: y, W: w, H: h}, tone))
				}
			}
		}
		area, ok := NewShadows(c).Area(tone)
		if ok != (best <= 4) {
			t.Errorf("seed %d: found %v, the best area is off by %.2f in square", seed, ok, best)
		}
		if ok && math.Abs(offTone(c, area, tone)-best) > 1e-9 {
			t.Errorf("seed %d: %+v is off by %.3f in square, the best by %.3f", seed, area, offTone(c, area, tone), best)
		}
	}
}

// offTone is the mean square of what the pixels of an area lie off a tone, pixel by pixel.
func offTone(c levels.Cells, area geometry.Rect, tone curve.Stops) float64 {
	var sum float64
	for y := area.Y; y < area.Y+area.H; y++ {
		for x := area.X; x < area.X+area.W; x++ {
			d := float64(c.Stops[y/16*c.Grid.Cols+x/16] - tone)
			sum += d * d
		}
	}
	return sum / float64(area.W*area.H)
}

// TestWaveformCountsSamples: every luma sample counts once, in its column and at its level, worked
// out sample by sample: 0 % is code 64 and 100 % code 940 (Recommendation ITU-R BT.2100-2, table 9).
func TestWaveformCountsSamples(t *testing.T) {
	r := reading(t)
	for _, width := range []int{37, 480, 700} {
		for name, content := range testframes.Contents(10, 5) {
			f := testframes.Make(testframes.Kinds[0], width, 22, 10, 1, content)[0]
			w := NewCamera(r.Table(), curve.BT709, noCeiling).Waveform(f)
			if w.Columns != min(width, 480) || len(w.Counts) != w.Columns*w.Levels {
				t.Fatalf("%d across: %d columns, %d counts", width, w.Columns, len(w.Counts))
			}
			want := make([]uint32, len(w.Counts))
			for y := range 22 {
				for x, code := range f.Planes[0].Row(y) {
					percent := (float64(code) - 64) / 8.76
					level := int(min(max(math.Floor((percent+8)*2), 0), 239))
					want[level*w.Columns+x*w.Columns/width]++
				}
			}
			for i := range want {
				if w.Counts[i] != want[i] {
					t.Fatalf("%s, %d across: level %d of column %d counts %d, want %d", name, width, i/w.Columns, i%w.Columns,
						w.Counts[i], want[i])
				}
			}
		}
	}
}

// TestGrayStill: each pixel of a frame at full size and of a small one is the mean light of its block,
// whatever the depth of the noise, and is clipped where any of them is.
func TestGrayStill(t *testing.T) {
	r := reading(t)
	gray := testframes.Kinds[4]
	for _, width := range []int{61, 4096, 4097, 9000} {
		f := testframes.Make(gray, width, 9, 10, 1, testframes.Contents(10, 6)["grainy"])[0]
		f.Time = 2.5
		const ceiling = 900
		shots := NewCamera(r.Table(), curve.BT709, [3]curve.FileCode{ceiling, ceiling, ceiling}).Frame(f)
		for most, s := range map[int]*Still{4096: stillOf(shots.Full), 960: shots.Frame} {
			step := min(int(math.Ceil(float64(width)/float64(most))), 9)
			if s.Width != width/step || s.Height != 9/step || s.Width > max(most, width/9) || s.Scale != float64(step) ||
				shots.Frame.T != 2.5 {
				t.Fatalf("%d across: %d x %d at %g s, scale %g", width, s.Width, s.Height, float64(s.T), s.Scale)
			}
			for at := range s.R {
				if err := checkBlock(f, s, r, at, step, ceiling); err != nil {
					t.Fatalf("%d across, pixel %d: %v", width, at, err)
				}
			}
		}
	}
}

// checkBlock compares a pixel of a still of a gray frame with its block of the frame.
func checkBlock(f *decode.Frame, s *Still, r curve.Reading, at, step, ceiling int) error {
	var light float64
	clipped := uint8(0)
	for dy := range step {
		for dx := range step {
			code := f.Planes[0].Row(at/s.Width*step + dy)[at%s.Width*step+dx]
			light += float64(r.Light(curve.FileCode(code)))
			if int(code) >= ceiling {
				clipped = 7
			}
		}
	}
	n := float64(step * step)
	want := light / n
	for _, got := range []float32{s.R[at], s.G[at], s.B[at]} {
		if math.Abs(float64(got)-want) > 1e-5*math.Abs(want)+1e-9 {
			return fmt.Errorf("light %g, want %g", got, want)
		}
	}
	if s.Clipped[at] != clipped {
		return fmt.Errorf("clipped %03b, want %03b", s.Clipped[at], clipped)
	}
	return nil
}

// TestLightsAreTheTables: between codes of the file and beyond them light is that of the table, to what
// 32 bits hold and a straight line between two codes is off by.
func TestLightsAreTheTables(t *testing.T) {
	for _, bits := range []int{8, 10, 12, 16} {
		r := reading(t)
		r.Bits = bits
		table := r.Table()
		lights := newLights(table)
		random := rand.New(rand.NewPCG(uint64(bits), 43))
		codes, got := make([]curve.FileCode, 3000), make([]float32, 3000)
		for i := range codes {
			codes[i] = curve.FileCode((random.Float64()*2.8 - 0.9) * float64(r.Codes()))
			if i%3 == 0 {
				codes[i] = curve.FileCode(math.Round(float64(codes[i])))
			}
		}
		lights.of(got, codes)
		for i, code := range codes {
			want := float64(table.LightAt(code))
			if off := math.Abs(float64(got[i]) - want); !(off <= 2e-3*math.Abs(want)+1e-5) ||
				i%3 == 0 && off > 1e-6*math.Abs(want) {
				t.Fatalf("%d bits, code %g: light %g, want %g", bits, float64(code), got[i], want)
			}
		}
	}
}

// TestShownIsOfTheLight: what is shown by code is what is shown of the row's light, to one step of 256 over
// seventeen stops, and the same where a channel has whole codes.
func TestShownIsOfTheLight(t *testing.T) {
	for _, k := range testframes.Kinds {
		for _, bits := range []int{8, 10, 12, 16} {
			r := reading(t)
			r.Bits = bits
			f := testframes.Make(k, 75, 40, bits, 1, testframes.Contents(bits, 8)["random"])[0]
			full := NewCamera(r.Table(), curve.BT709, noCeiling).Frame(f).Full
			tone := func(light float32) uint8 {
				return uint8(min(max(128+15*math.Log2(float64(light)/0.18), 0), 255))
			}
			show, shown := full.(ShownRows).Shown(tone), make([]uint8, 4*75)
			for y := range 40 {
				row := full.Row(y)
				want := [3][]float32{row.R, row.G, row.B}
				show(y, shown)
				for i, got := range shown {
					if i%4 == 3 && got == 255 {
						continue
					}
					off := int(got) - int(tone(want[i%4][i/4]))
					if off < -1 || off > 1 || off != 0 && k.Layout != decode.YCbCr {
						t.Fatalf("%s, %d bits, %d,%d: %d, off by %d", k.Name, bits, i/4, y, got, off)
					}
				}
			}
		}
	}
}

// TestAreaIsThatPartOfTheFrame: an area at full size has the pixels of the whole frame there.
func TestAreaIsThatPartOfTheFrame(t *testing.T) {
	r := reading(t)
	for _, k := range testframes.Kinds {
		f := testframes.Make(k, 150, 90, 10, 1, testframes.Contents(10, 7)["grainy"])[0]
		camera := NewCamera(r.Table(), curve.BT709, [3]curve.FileCode{700, 800, 900})
		whole := whole(camera, f)
		for _, area := range []geometry.Rect{{W: 150, H: 90}, {X: 33, Y: 7, W: 96, H: 64}, {X: 149, Y: 89, W: 1, H: 1}} {
			part := camera.Area(f, area)
			if part.X != area.X || part.Y != area.Y || part.Width != area.W || part.Height != area.H || part.Scale != 1 {
				t.Fatalf("%s, %+v: %d x %d at %d, %d", k.Name, area, part.Width, part.Height, part.X, part.Y)
			}
			for i := range part.R {
				j := (area.Y+i/area.W)*150 + area.X + i%area.W
				if part.R[i] != whole.R[j] || part.G[i] != whole.G[j] || part.B[i] != whole.B[j] ||
					part.Clipped[i] != whole.Clipped[j] {
					t.Fatalf("%s, %+v: pixel %d differs", k.Name, area, i)
				}
			}
		}
	}
}

// TestNeutralCodes: Y'CbCr without colour, R'G'B' of one code and gray show the same light in all
// channels, whatever the subsampling.
func TestNeutralCodes(t *testing.T) {
	r := reading(t)
	for _, k := range testframes.Kinds {
		f := testframes.Make(k, 33, 17, 10, 1, func(_, plane, x, y int) uint16 {
			if plane > 0 && k.Layout == decode.YCbCr {
				return 512
			}
			return uint16(100 + 20*x + y)
		})[0]
		s := whole(NewCamera(r.Table(), curve.BT709, noCeiling), f)
		for i := range s.R {
			want := float64(r.Light(curve.FileCode(100 + 20*(i%33) + i/33)))
			for _, got := range []float32{s.R[i], s.G[i], s.B[i]} {
				if math.Abs(float64(got)-want) > 1e-5*math.Abs(want)+1e-7 {
					t.Fatalf("%s, pixel %d: light %g, want %g", k.Name, i, got, want)
				}
			}
		}
	}
}
