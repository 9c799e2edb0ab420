package detect

import (
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// chartScene is a plain room with a chart, seen a little from the side.
func chartScene() (*scene, geometry.Homography) {
	s := newScene(640, 360, 21)
	s.fill(func(x, y float64) [3]float64 { return [3]float64{0.3, 0.26, 0.2} })
	h := s.addChart(pose(geometry.Point{320, 180}, 330, 222, 0.15, 0.3, 1, 4), Edition2005, false, noGlare)
	s.stops = 0.5
	return s, h
}

func onlyChart(t *testing.T, s *scene, recorded, read curve.Reading) Chart {
	t.Helper()
	found := Look(s.frame(recorded, curve.BT709, 2), read, curve.BT709, Options{SkipFaces: true})
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
	s.balance = [3]float64{0.3, 0, -0.2}
	left, right := h.At(0, 1.5), h.At(5, 1.5)
	along := right.Sub(left)
	s.light = func(x, y float64) float64 {
		d := geometry.Point{x, y}.Sub(geometry.Mix(left, right, 0.5))
		return math.Exp2(0.8 * d.Dot(along) / along.Dot(along))
	}
	c := onlyChart(t, s, sLog3(), sLog3())
	mean := (0.3 - 0.2) / 3
	for k, b := range s.balance {
		if math.Abs(c.WhiteBalance[k]-(b-mean)) > tolerance {
			t.Errorf("white balance %.3f, want %.3f less %.3f", c.WhiteBalance, s.balance, mean)
		}
	}
	if math.Abs(c.Across-0.8) > 0.08 || math.Abs(c.Down) > 0.08 { // a tenth: patches see light in steps
		t.Errorf("light %+.3f across, %+.3f down, want +0.8 and 0", c.Across, c.Down)
	}
	middle := h.At(2.5, 3)
	want := s.stops + math.Log2(s.light(middle.X, middle.Y)) + s.lumaStops()
	if math.Abs(c.Stops-want) > tolerance || math.Abs(c.Line.Slope-1) > tolerance || c.Doubt != nil {
		t.Errorf("%+.3f stops, line %+v, doubt %v, want %+.3f", c.Stops, c.Line, c.Doubt, want)
	}
	if patch := h.Cell(3, 3, 0.45); !patch.Contains(geometry.Point{float64(c.Region.Min.X), float64(c.Region.Min.Y)}) ||
		!patch.Contains(geometry.Point{float64(c.Region.Max.X), float64(c.Region.Max.Y)}) || c.RegionStops != c.Patches[neutral5].Published {
		t.Errorf("region %v, %+.3f stops, want inside neutral 5 at %.0f", c.Region, c.RegionStops, patch)
	}
}

// TestChartDoubts: a picture read with another curve, and one with stray light over it.
func TestChartDoubts(t *testing.T) {
	s, _ := chartScene()
	vLog := reading(t, "V-Log")
	c := onlyChart(t, s, vLog, sLog3())
	if c.Doubt == nil || c.Doubt.Kind != WrongCurve || !suggests(c.Doubt, vLog) {
		t.Errorf("V-Log as S-Log3: line %+v, doubt %+v", c.Line, c.Doubt)
	}
	s, _ = chartScene()
	for i := range s.pix {
		for k := range s.pix[i] {
			s.pix[i][k] += 0.01
		}
	}
	c = onlyChart(t, s, sLog3(), sLog3())
	if c.Doubt == nil || c.Doubt.Kind != StrayLight || math.Abs(c.Doubt.Flare-0.01) > 0.002 {
		t.Errorf("1 %% of white added: line %+v, doubt %+v", c.Line, c.Doubt)
	}
}

// TestChartEditions: a chart read with the values it was made by has slope 1, and another edition's
// are at most 0.05 stop off (the editions' own differences).
func TestChartEditions(t *testing.T) {
	for _, e := range []Edition{Edition2005, Edition1976, EditionNov2014} {
		s := newScene(640, 360, 22)
		s.addChart(pose(geometry.Point{320, 180}, 400, 270, 0, 0, 0, 4), e, false, noGlare)
		f := s.frame(sLog3(), curve.BT709, 1)
		for _, read := range []Edition{Edition2005, Edition1976, EditionNov2014} {
			found := Look(f, sLog3(), curve.BT709, Options{SkipFaces: true, Edition: read}).Charts
			if len(found) != 1 {
				t.Fatalf("chart of %s: %d found", e, len(found))
			}
			limit := 0.05
			if read == e {
				limit = 0.005
			}
			if c := found[0]; math.Abs(c.Stops) > limit || c.Edition != read || read == e && math.Abs(c.Line.Slope-1) > 0.003 {
				t.Errorf("chart of %s read as %s: %+.4f stops, slope %.4f", e, read, c.Stops, c.Line.Slope)
			}
		}
	}
}
