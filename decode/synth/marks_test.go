package synth

import (
	"math"
	"slices"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// exact is a camera without noise and ceiling whose codes are as fine as they come.
func exact(t testing.TB, width, height int) Camera {
	t.Helper()
	cam := bench(t, width, height)
	cam.Noise, cam.Ceiling, cam.Bits, cam.Sampling, cam.Range = Noise{}, 0, 16, S444, curve.Full
	return cam
}

// Every mark of every scene is recorded at the light that its truth tells: the mean of decoded luma
// over the mark's rectangle, against the mean over a grid of places that the truth takes.
func TestEveryMarkIsRecordedAsTold(t *testing.T) {
	const w, h = 480, 270
	seen := 0
	for name, scene := range film {
		cam := exact(t, w, h)
		frames, truth, err := Expose(cam, Shot{Scene: scene(w, h), Stops: -1.2, Frames: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range truth.Regions {
			in := r.Rect(0)
			if r.Kind == MarkChart || in.W < 4 || in.H < 4 || r.Linear[0] > 8 {
				continue // the whole chart has no one light; S-Log3 ends near 5.6 stops
			}
			seen++
			got := meanLight(truth.Reading, frames[0], in)
			// The room's lamp lights its card unevenly, and the two means are over other places.
			tolerance := 1e-3 * float64(r.Linear[0])
			if name == "mess" {
				tolerance *= 30
			}
			if math.Abs(got-float64(r.Linear[0])) > tolerance+1e-5 {
				t.Errorf("%s, %s: light %.5f, told %.5f", name, r.Name, got, float64(r.Linear[0]))
			}
		}
	}
	if seen < 60 {
		t.Errorf("only %d marks were looked at", seen)
	}
}

// Where nothing but the exposure lights a mark, its light is its reflectance times 2^stops.
func TestMarksAreLitByTheExposure(t *testing.T) {
	const w, h = 480, 270
	for _, name := range []string{"tiles", "wedge", "wheelhouse", "chart", "sky", "deckhand"} {
		for _, stops := range []curve.Stops{-3, 0, 0.65} {
			r, err := NewRenderer(exact(t, w, h), Shot{Scene: film[name](w, h), Stops: stops, Frames: 1})
			if err != nil {
				t.Fatal(err)
			}
			for _, g := range r.Truth().Regions {
				want := float64(g.Reflectance) * stops.Gain()
				if g.Neutral && math.Abs(float64(g.Linear[0])/want-1) > 1e-5 {
					t.Errorf("%s %+g, %s: %.6f, want %.6f", name, float64(stops), g.Name, float64(g.Linear[0]), want)
				}
			}
		}
	}
}

// A colour patch's light is what a reader of luma alone gets: recorded R'G'B' weighted by Kr, Kg and
// Kb, decoded by the curve.
func TestColourPatchesAreReadByLuma(t *testing.T) {
	cam := exact(t, 480, 270)
	rgb := cam
	rgb.Sampling = RGB
	shot := Shot{Scene: ChartTable(480, 270), Frames: 1}
	_, truth, err := Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	planes, _, err := Expose(rgb, shot)
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, r := range truth.Regions {
		if r.Kind != MarkPatch || r.Neutral {
			continue
		}
		in := r.Rect(0)
		x, y := in.X+in.W/2, in.Y+in.H/2
		luma := curve.BT709.Kr*float64(planes[0].Row(0, y)[x]) + curve.BT709.Kg()*float64(planes[0].Row(1, y)[x]) +
			curve.BT709.Kb*float64(planes[0].Row(2, y)[x])
		got := float64(truth.Reading.Light(curve.FileCode(luma)))
		if math.Abs(got/float64(r.Linear[0])-1) > 2e-3 {
			t.Errorf("%s: %.5f, told %.5f", r.Name, got, float64(r.Linear[0]))
		}
		checked++
	}
	if checked != 18 {
		t.Errorf("%d colour patches, want 18", checked)
	}
}

// Tiles of the camera test: half stops from -8 to +6 are 29 tiles; each reflects sqrt 2 of the one
// before, and grey is among them.
func TestTilesOfTheWedge(t *testing.T) {
	marks := TestTiles(600, 500).Marks()
	if len(marks) != 29 {
		t.Fatalf("%d tiles, want 29", len(marks))
	}
	for i, m := range marks {
		if i > 0 {
			if step := float64(m.Reflectance / marks[i-1].Reflectance); math.Abs(step-math.Sqrt2) > 1e-9 {
				t.Errorf("%s is %.6f of the tile before", m.Name, step)
			}
		}
		if m.Kind != MarkTile || !m.Neutral || math.Abs(m.Quad.Area()-10000) > 1e-6 {
			t.Errorf("%s: %+v", m.Name, m)
		}
	}
	if g := marks[16]; g.Name != "+0 stops" || g.Reflectance != curve.MidGrey {
		t.Errorf("grey is %s, %g", g.Name, float64(g.Reflectance))
	}
	for i, m := range marks { // reading order, six across
		low, _ := m.Quad.Extent()
		if want := geometry.Pt(float64(i%6)*100, float64(i/6)*100); low.Distance(want) > 1e-9 {
			t.Errorf("%s begins at %v, want %v", m.Name, low, want)
		}
	}
}

// A gap between tiles is dark ground, as wide as asked for.
func TestGapsOfTheWedge(t *testing.T) {
	wedge := NewWedge(geometry.Upright(0, 0, 300, 60), 3, -1, 1, 1, 10)
	rows := newRows(300)
	Fill{Grey(0.5)}.Paint(Row{X: 0.5, Y: 30.5, R: rows[0], G: rows[1], B: rows[2]})
	wedge.Paint(Row{X: 0.5, Y: 30.5, R: rows[0], G: rows[1], B: rows[2]})
	dark := 0
	for _, v := range rows[1] {
		if v < 0.002 {
			dark++
		}
	}
	if dark != 30 { // half a gap at both ends, two between
		t.Errorf("%d dark pixels, want 30", dark)
	}
}

func TestClothsAreNamedByTheirReflectance(t *testing.T) {
	var names []string
	for _, m := range NewCloths(geometry.Upright(0, 0, 90, 30), 0.02, 0.005, 0.001).marks() {
		names = append(names, m.Name)
	}
	if want := []string{"2 %", "0.5 %", "0.1 %"}; !slices.Equal(names, want) {
		t.Errorf("%q, want %q", names, want)
	}
}

// Marks stand in the order in which they are painted, and what is not in the frame has no region.
func TestMarksInOrder(t *testing.T) {
	scene := Scene{Parts: []Part{
		Fill{Grey(0.1)}, NewCard(geometry.Upright(10, 10, 20, 20), 0.18), NewCloths(geometry.Upright(-90, 0, 60, 30),
			0.01, 0.02),
		NewCard(geometry.Upright(40, 10, 20, 20), 0.36),
	}}
	var kinds []string
	for _, m := range scene.Marks() {
		kinds = append(kinds, string(m.Kind))
	}
	if got := strings.Join(kinds, " "); got != "card cloth cloth card" {
		t.Errorf("marks %s", got)
	}
	r, err := NewRenderer(exact(t, 80, 40), Shot{Scene: scene, Frames: 1})
	if err != nil {
		t.Fatal(err)
	}
	truth := r.Truth()
	if len(truth.Regions) != 2 || truth.Regions[1].Reflectance != 0.36 || truth.PlacementFrom != "card" {
		t.Errorf("%d regions, placement from %s", len(truth.Regions), truth.PlacementFrom)
	}
	if _, found := truth.Region("1 %"); found {
		t.Error("a cloth beside the frame has a region")
	}
}

// What placement goes by: the card before the chart, the chart's neutral 5 before a tile of 18 %,
// then the exposure.
func TestPlacementGoesByTheBestMark(t *testing.T) {
	const w, h = 320, 180
	tile := NewWedge(geometry.Upright(0, 120, 320, 60), 3, -1, 1, 1, 0)
	chart := NewChart(geometry.Upright(10, 5, 160, 108))
	card := NewCard(geometry.Upright(200, 20, 60, 60), 0.18)
	for _, c := range []struct {
		parts []Part
		want  string
	}{
		{[]Part{Fill{Grey(0.1)}, tile, chart, card}, "card"},
		{[]Part{Fill{Grey(0.1)}, tile, chart}, "neutral 5"},
		{[]Part{Fill{Grey(0.1)}, tile}, "+0 stops"},
		{[]Part{Fill{Grey(0.1)}}, "exposure"},
	} {
		r, err := NewRenderer(exact(t, w, h), Shot{Scene: Scene{Parts: c.parts}, Stops: 0.4, Frames: 2})
		if err != nil {
			t.Fatal(err)
		}
		truth := r.Truth()
		if truth.PlacementFrom != c.want || math.Abs(float64(truth.Placement)-0.4) > 1e-5 || len(truth.Series) != 2 {
			t.Errorf("%+.4f from %s, want +0.4 from %s", float64(truth.Placement), truth.PlacementFrom, c.want)
		}
	}
}

// Corners of the patches, in perspective: cross ratios along a row are kept by a homography, and
// for equally spaced points A, B, C, D the cross ratio (AC BD) / (BC AD) is 4/3.
func TestChartInPerspective(t *testing.T) {
	chart := NewChart(geometry.Quad{geometry.Pt(20, 18), geometry.Pt(180, 5), geometry.Pt(205, 130), geometry.Pt(8, 110)})
	marks := chart.marks()[1:] // the first is the body
	for row := range 4 {
		a, b, c, d := marks[6*row].Quad[0], marks[6*row+1].Quad[0], marks[6*row+2].Quad[0], marks[6*row+3].Quad[0]
		ratio := a.Distance(c) * b.Distance(d) / (b.Distance(c) * a.Distance(d))
		if math.Abs(ratio-4.0/3) > 1e-9 {
			t.Errorf("row %d: cross ratio %.6f", row, ratio)
		}
		if cross := b.Sub(a).Cross(d.Sub(a)); math.Abs(cross) > 1e-6 {
			t.Errorf("row %d is not straight: %g", row, cross)
		}
	}
	body := chart.marks()[0].Quad
	for _, m := range marks {
		for _, p := range m.Quad {
			if !body.Contains(p) {
				t.Errorf("%s lies beside the chart's body", m.Name)
			}
		}
	}
}
