package detect_test

import (
	"fmt"
	"math"
	"testing"

	"stopledger/analyze/detect"
	"stopledger/analyze/detect/pose"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// asRecorded gives a scene's R', G' and B' any depth, layout and subsampling.
func asRecorded(s *pose.Scene, r curve.Reading, m curve.Matrix, layout decode.Layout, subX, subY int) *decode.Frame {
	if layout == decode.YCbCr && subX == 2 {
		return s.Frame(r, m, subY)
	}
	sig, c := s.Signals(r), r.Chroma(m)
	top := float64(int(1)<<r.Bits - 1)
	f := &decode.Frame{Layout: layout, Bits: r.Bits}
	for i := range f.Planes {
		f.Planes[i] = pose.Plane(s.W, s.H)
	}
	for y := range s.H {
		for x := range s.W {
			p := sig[y*s.W+x]
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
			s := pose.NewScene(640, 360, 12)
			s.Fill(func(x, y float64) [3]float64 { return [3]float64{0.05, 0.045, 0.04} })
			s.AddEllipse(geometry.Pt(560, 60), 60, [3]float64{0.8, 0.8, 0.75})
			s.AddChart(pose.Place(geometry.Pt(170, 180), 220, 150, 0.2, 0.2, 1, 4), detect.Edition2005, false,
				pose.NoGlare)
			card := pose.Place(geometry.Pt(470, 230), 130, 100, -0.3, 0.2, 2, 4)
			s.Paint(card, func(p geometry.Point) ([3]float64, bool) {
				return [3]float64{0.18, 0.18, 0.18},
					card.Contains(p)
			})
			r := narrow(t, c.curve)
			r.Range, r.Bits = c.span, c.bits
			f := asRecorded(s, r, curve.BT709, c.layout, c.subX, c.subY)
			found := detect.Look(f, r, curve.BT709, detect.Options{})
			if len(found.Cards) != 1 || off(found.Cards[0].Stops, 0) > tolerance {
				t.Errorf("cards %+v, want one at 0", found.Cards)
			}
			if c.layout == decode.Gray {
				if len(found.Charts) > 0 {
					t.Error("a chart is known by its colours, of which there are none")
				}
				return
			}
			if len(found.Charts) != 1 || off(found.Charts[0].Stops, 0) > tolerance || found.Charts[0].Doubt != nil {
				t.Errorf("charts %+v, want one at 0 without doubt", found.Charts)
			}
		})
	}
}

// TestReflectance: what the card is said to reflect moves the placement, not what is found; and what
// is less sure than asked for is not told.
func TestReflectance(t *testing.T) {
	p := pose.Card(6)
	grey := look(p, detect.Options{SkipFaces: true}).Cards
	white := look(p, detect.Options{SkipFaces: true, Reflectance: 0.9}).Cards
	if len(grey) == 0 || len(white) != len(grey) {
		t.Fatalf("%d and %d cards", len(grey), len(white))
	}
	if d, want := grey[0].Stops-white[0].Stops, curve.Stops(math.Log2(0.9/0.18)); off(d, want) > 1e-9 {
		t.Errorf("%.4f stops lower, want %.4f", d, want)
	}
	if d := grey[0].Light.Luma.Stops() - grey[0].RegionStops; off(d, grey[0].Stops) > 1e-9 {
		t.Errorf("light less RegionStops is %.4f, want %.4f", d, grey[0].Stops)
	}
	if sure := look(p, detect.Options{SkipFaces: true, Doubtful: 1.01}); len(sure.Charts)+len(sure.Cards) > 0 {
		t.Errorf("more than certain: %+v", sure)
	}
}

// TestRepeatable: the same frame gives the same findings.
func TestRepeatable(t *testing.T) {
	p := pose.Chart(7, false)
	a := fmt.Sprintf("%+v", look(p, detect.Options{}))
	b := fmt.Sprintf("%+v", look(p, detect.Options{}))
	if a != b {
		t.Error("two looks differ")
	}
}
