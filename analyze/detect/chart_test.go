package detect_test

import (
	"math"
	"slices"
	"testing"

	"stopledger/analyze/detect"
	"stopledger/analyze/detect/pose"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// off returns how far a quantity lies from another, without sign.
func off[T ~float64](got, want T) float64 { return math.Abs(float64(got - want)) }

// narrow returns the reading of a curve's narrow-range recordings at 10 bits.
func narrow(t *testing.T, name string) curve.Reading {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
}

// chartScene is a plain room with a chart, seen a little from the side.
func chartScene() (*pose.Scene, geometry.Homography) {
	s := pose.NewScene(640, 360, 21)
	s.Fill(func(x, y float64) [3]float64 { return [3]float64{0.3, 0.26, 0.2} })
	h := s.AddChart(pose.Place(geometry.Pt(320, 180), 330, 222, 0.15, 0.3, 1, 4), detect.Edition2005, false,
		pose.NoGlare)
	s.Stops = 0.5
	return s, h
}

func onlyChart(t *testing.T, s *pose.Scene, recorded, read curve.Reading) detect.Chart {
	t.Helper()
	found := detect.Look(s.Frame(recorded, curve.BT709, 2), read, curve.BT709, detect.Options{SkipFaces: true})
	if len(found.Charts) != 1 || len(found.Cards) != 0 {
		t.Fatalf("%d charts and %d cards, want one chart", len(found.Charts), len(found.Cards))
	}
	return found.Charts[0]
}

// TestChartReading: white balance and uneven light are told as they were made, and taken off.
func TestChartReading(t *testing.T) {
	// stops: blur of the patches' edges, rounding, and the light's bend over a patch
	const tolerance = 0.02
	s, h := chartScene()
	s.Balance = [3]curve.Stops{0.3, 0, -0.2}
	left, right := h.At(0, 1.5), h.At(5, 1.5)
	along := right.Sub(left)
	s.Light = func(x, y float64) float64 {
		d := geometry.Pt(x, y).Sub(geometry.Mix(left, right, 0.5))
		return math.Exp2(0.8 * d.Dot(along) / along.Dot(along))
	}
	c := onlyChart(t, s, pose.SLog3(), pose.SLog3())
	const mean curve.Stops = (0.3 - 0.2) / 3
	for k, b := range s.Balance {
		if off(c.WhiteBalance[k], b-mean) > tolerance {
			t.Errorf("white balance %.3f, want %.3f less %.3f", c.WhiteBalance, s.Balance, mean)
		}
	}
	if off(c.Across, 0.8) > 0.08 || off(c.Down, 0) > 0.08 { // a tenth: patches see light in steps
		t.Errorf("light %+.3f across, %+.3f down, want +0.8 and 0", c.Across, c.Down)
	}
	want := s.At(h.At(2.5, 3))
	if off(c.Stops, want) > tolerance || off(c.Line.Slope, 1) > tolerance || c.Doubt != nil {
		t.Errorf("%+.3f stops, line %+v, doubt %v, want %+.3f", c.Stops, c.Line, c.Doubt, want)
	}
	if patch := h.Cell(3, 3, 0.45); !patch.Contains(geometry.Pt(float64(c.Region.Min.X), float64(c.Region.Min.Y))) ||
		!patch.Contains(geometry.Pt(float64(c.Region.Max.X), float64(c.Region.Max.Y))) ||
		c.RegionStops != c.Patches[21].Published {
		t.Errorf("region %v, %+.3f stops, want inside neutral 5 at %.0f", c.Region, c.RegionStops, patch)
	}
}

// TestChartDoubts: a picture read with another curve, and one with stray light over it.
func TestChartDoubts(t *testing.T) {
	s, _ := chartScene()
	vLog := narrow(t, "V-Log")
	c := onlyChart(t, s, vLog, pose.SLog3())
	if c.Doubt == nil || c.Doubt.Kind != detect.WrongCurve || !slices.ContainsFunc(c.Doubt.Fits,
		func(f detect.ReadingFit) bool { return f.Reading == vLog }) {
		t.Errorf("V-Log as S-Log3: line %+v, doubt %+v", c.Line, c.Doubt)
	}
	s, _ = chartScene()
	for i := range s.Pix {
		for k := range s.Pix[i] {
			s.Pix[i][k] += 0.01
		}
	}
	c = onlyChart(t, s, pose.SLog3(), pose.SLog3())
	if c.Doubt == nil || c.Doubt.Kind != detect.StrayLight || off(c.Doubt.Flare, 0.01) > 0.002 {
		t.Errorf("1 %% of white added: line %+v, doubt %+v", c.Line, c.Doubt)
	}
}

// TestChartEditions: a chart read with the values it was made by has slope 1, and another edition's
// are at most 0.05 stop off (the editions' own differences).
func TestChartEditions(t *testing.T) {
	for _, e := range []detect.Edition{detect.Edition2005, detect.Edition1976, detect.EditionNov2014} {
		s := pose.NewScene(640, 360, 22)
		s.AddChart(pose.Place(geometry.Pt(320, 180), 400, 270, 0, 0, 0, 4), e, false, pose.NoGlare)
		f := s.Frame(pose.SLog3(), curve.BT709, 1)
		for _, read := range []detect.Edition{detect.Edition2005, detect.Edition1976, detect.EditionNov2014} {
			found := detect.Look(f, pose.SLog3(), curve.BT709, detect.Options{SkipFaces: true, Edition: read}).Charts
			if len(found) != 1 {
				t.Fatalf("chart of %s: %d found", e, len(found))
			}
			limit := 0.05
			if read == e {
				limit = 0.005
			}
			if c := found[0]; off(c.Stops, 0) > limit || c.Edition != read || read == e && off(c.Line.Slope,
				1) > 0.003 {
				t.Errorf("chart of %s read as %s: %+.4f stops, slope %.4f", e, read, c.Stops, c.Line.Slope)
			}
		}
	}
}
