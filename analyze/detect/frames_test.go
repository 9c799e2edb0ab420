package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// asRecorded gives a scene's R', G' and B' any depth, layout and subsampling.
func (s *scene) asRecorded(r curve.Reading, m curve.Matrix, layout decode.Layout, subX, subY int) *decode.Frame {
	if layout == decode.YCbCr && subX == 2 {
		return s.frame(r, m, subY)
	}
	sig, c := s.signals(r), r.Chroma(m)
	top := float64(int(1)<<r.Bits - 1)
	f := &decode.Frame{Layout: layout, Bits: r.Bits}
	for i := range f.Planes {
		f.Planes[i] = plane(s.w, s.h)
	}
	for y := range s.h {
		for x := range s.w {
			p := sig[y*s.w+x]
			v := [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}
			if layout != decode.RGB {
				luma := m.Kr*v[0] + m.Kg()*v[1] + m.Kb*v[2]
				v = [3]float64{luma, (v[2]-luma)/c.CbB + c.Mid, (v[0]-luma)/c.CrR + c.Mid}
			}
			for k := range v {
				f.Planes[k].Samples[y*f.Planes[k].Stride+x] = uint16(math.Min(math.Max(math.Round(v[k]), 0), top))
			}
		}
	}
	if layout == decode.Gray {
		f.Planes[1], f.Planes[2] = decode.Plane{}, decode.Plane{}
	}
	return f
}

// TestEveryRecording finds the same chart and card in every layout, depth, range and curve.
func TestEveryRecording(t *testing.T) {
	const tolerance = 0.03 // stops: an 8-bit log file has 20 codes a stop
	for _, c := range []struct {
		curve      string
		span       curve.Range
		bits       int
		layout     decode.Layout
		subX, subY int
	}{
		{"S-Log3", curve.Narrow, 10, decode.YCbCr, 2, 2},
		{"V-Log", curve.Narrow, 10, decode.YCbCr, 2, 1},
		{"LogC3", curve.Narrow, 12, decode.YCbCr, 1, 1},
		{"S-Log3", curve.Full, 16, decode.RGB, 1, 1},
		{"HLG", curve.Narrow, 10, decode.YCbCr, 2, 2},
		{"BT.709", curve.Narrow, 8, decode.YCbCr, 2, 2},
		{"S-Log3", curve.Narrow, 10, decode.Gray, 1, 1},
	} {
		t.Run(fmt.Sprint(c.curve, c.bits, c.layout, c.subX, c.subY), func(t *testing.T) {
			t.Parallel()
			s := newScene(640, 360, 12)
			s.fill(func(x, y float64) [3]float64 { return [3]float64{0.05, 0.045, 0.04} })
			s.addEllipse(geometry.Point{560, 60}, 60, [3]float64{0.8, 0.8, 0.75})
			s.addChart(pose(geometry.Point{170, 180}, 220, 150, 0.2, 0.2, 1, 4), Edition2005, false, noGlare)
			card := pose(geometry.Point{470, 230}, 130, 100, -0.3, 0.2, 2, 4)
			s.paint(card, func(p geometry.Point) ([3]float64, bool) { return [3]float64{0.18, 0.18, 0.18}, card.Contains(p) })
			r := reading(t, c.curve)
			r.Range, r.Bits = c.span, c.bits
			f := s.asRecorded(r, curve.BT709, c.layout, c.subX, c.subY)
			found := Look(f, r, curve.BT709, Options{})
			if len(found.Cards) != 1 || math.Abs(found.Cards[0].Stops) > tolerance {
				t.Errorf("cards %+v, want one at 0", found.Cards)
			}
			if c.layout == decode.Gray {
				if len(found.Charts) > 0 {
					t.Error("a chart is known by its colours, of which there are none")
				}
				return
			}
			if len(found.Charts) != 1 || math.Abs(found.Charts[0].Stops) > tolerance || found.Charts[0].Doubt != nil {
				t.Errorf("charts %+v, want one at 0 without doubt", found.Charts)
			}
		})
	}
}

// TestReflectance: what the card is said to reflect moves the placement, not what is found; and what
// is less sure than asked for is not told.
func TestReflectance(t *testing.T) {
	p := posedCard(6)
	grey := Look(p.frame, p.reading, p.matrix, Options{SkipFaces: true}).Cards
	white := Look(p.frame, p.reading, p.matrix, Options{SkipFaces: true, Reflectance: 0.9}).Cards
	if len(grey) == 0 || len(white) != len(grey) {
		t.Fatalf("%d and %d cards", len(grey), len(white))
	}
	if d, want := grey[0].Stops-white[0].Stops, math.Log2(0.9/0.18); math.Abs(d-want) > 1e-9 {
		t.Errorf("%.4f stops lower, want %.4f", d, want)
	}
	if d := curve.ToStops(grey[0].Light.Luma) - grey[0].RegionStops; math.Abs(d-grey[0].Stops) > 1e-9 {
		t.Errorf("light less RegionStops is %.4f, want %.4f", d, grey[0].Stops)
	}
	if sure := Look(p.frame, p.reading, p.matrix, Options{SkipFaces: true, Doubtful: 1.01}); len(sure.all()) > 0 {
		t.Errorf("more than certain: %+v", sure)
	}
}

// FuzzLook: no frame, however small or wild, makes the search panic or tell nonsense.
func FuzzLook(f *testing.F) {
	f.Add(uint64(1), uint16(1), uint16(1), uint8(0))
	f.Add(uint64(2), uint16(200), uint16(3), uint8(1))
	f.Add(uint64(3), uint16(97), uint16(131), uint8(2))
	f.Add(uint64(4), uint16(240), uint16(180), uint8(3))
	f.Add(uint64(5), uint16(100), uint16(100), uint8(4))
	f.Fuzz(func(t *testing.T, seed uint64, width, height uint16, kind uint8) {
		rng := rand.New(rand.NewPCG(seed, 13))
		w, h := 1+int(width)%300, 1+int(height)%300
		layout := []decode.Layout{decode.YCbCr, decode.RGB, decode.Gray}[kind%3]
		frame := randomFrame(rng, layout, 10, w, h, 1+int(kind/3)%2, 1+int(kind/6)%2)
		if kind&64 != 0 { // big blocks instead of noise
			for i := range frame.Planes {
				p := frame.Planes[i]
				for y := range p.Height {
					for x := range p.Width {
						p.Samples[y*p.Stride+x] = p.Samples[y/12*12*p.Stride+x/12*12]
					}
				}
			}
		}
		found := Look(frame, sLog3(), curve.BT709, Options{RotationDeg: 90 * int(kind%4)})
		for _, d := range found.all() {
			if math.IsNaN(d.Stops) || !(d.Confidence >= certain && d.Confidence <= 1) || d.Region.Empty() {
				t.Errorf("%+v", d)
			}
		}
	})
}

func (f *Findings) all() (d []Detection) {
	for _, c := range f.Charts {
		d = append(d, c.Detection)
	}
	for _, c := range f.Cards {
		d = append(d, c.Detection)
	}
	for _, c := range f.Faces {
		d = append(d, c.Detection)
	}
	return d
}

// TestRepeatable: the same frame gives the same findings.
func TestRepeatable(t *testing.T) {
	p := posedChart(7, false)
	a := fmt.Sprintf("%+v", Look(p.frame, p.reading, p.matrix, Options{}))
	b := fmt.Sprintf("%+v", Look(p.frame, p.reading, p.matrix, Options{}))
	if a != b {
		t.Error("two looks differ")
	}
}
