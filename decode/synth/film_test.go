package synth

import (
	"math"
	"slices"
	"testing"

	"stopledger/curve"
)

var film = map[string]func(w, h int) Scene{
	"tiles": TestTiles, "wedge": ToneWedge, "wheelhouse": Wheelhouse, "mess": MessRoomWindow, "chart": ChartTable,
	"bulkhead": Bulkhead, "sky": HarbourSky, "night": QuayAtNight, "deckhand": Deckhand,
}

// Every scene covers its whole frame with light that is a number and not negative, at any time;
// the rows start out poisoned.
func TestScenesCoverTheFrame(t *testing.T) {
	nan := float32(math.NaN())
	for name, make := range film {
		for _, size := range [][2]int{{320, 180}, {97, 61}} {
			scene := make(size[0], size[1])
			for _, at := range []float64{0, 1.7} {
				for y := range size[1] {
					rows := newRows(size[0])
					for c := range rows {
						for i := range rows[c] {
							rows[c][i] = nan
						}
					}
					scene.Paint(Row{X: 0.5, Y: float64(y) + 0.5, T: at, R: rows[0], G: rows[1], B: rows[2]})
					for c := range rows {
						for i, v := range rows[c] {
							if !(v >= 0) || math.IsInf(float64(v), 0) {
								t.Fatalf("%s %v: light %g in channel %d at %d,%d", name, size, v, c, i, y)
							}
						}
					}
				}
			}
		}
	}
}

// A row painted in pieces is the row painted whole: no part looks at where a row begins.
func TestPaintingInPieces(t *testing.T) {
	for name, make := range film {
		scene := make(160, 90)
		for y := 0; y < 90; y += 7 {
			whole, pieces := newRows(160), newRows(160)
			paint := func(rows *[3][]float32, from, to int) {
				scene.Paint(Row{X: float64(from) + 0.5, Y: float64(y) + 0.5, T: 0.4, R: rows[0][from:to], G: rows[1][from:to],
					B: rows[2][from:to]})
			}
			paint(whole, 0, 160)
			paint(pieces, 0, 1)
			paint(pieces, 1, 90)
			paint(pieces, 90, 160)
			for c := range whole {
				for i := range whole[c] {
					// Perspective textures step through the row in floating point.
					if d := math.Abs(float64(whole[c][i] - pieces[c][i])); d > 1e-4*float64(whole[c][i])+1e-6 {
						t.Fatalf("%s: row %d, sample %d: %g whole, %g in pieces", name, y, i, whole[c][i], pieces[c][i])
					}
				}
			}
		}
	}
}

// What the scenes' comments promise of their light, in stops over 18 %.
func TestScenesAreLitAsTold(t *testing.T) {
	for _, c := range []struct {
		name       string
		x, y, w, h float64 // of the frame
		low, high  float64 // stops that the middle 80 % of luma must lie in
	}{
		{"sky", 0, 0, 1, 0.3, 2.5, 5.2},
		{"mess", 0.42, 0.15, 0.3, 0.15, 6.5, 7.5},
		{"mess", 0.02, 0.02, 0.3, 0.2, -1, 0.5},
		{"night", 0, 0, 1, 1, -7.5, -1},
		{"bulkhead", 0, 0, 1, 1, 0.7, 1.3},
		{"wheelhouse", 0.68, 0.12, 0.2, 0.15, 3.8, 5.5},
		{"deckhand", 0, 0.35, 1, 0.25, -1.2, 0.8},
	} {
		const w, h = 480, 270
		scene := film[c.name](w, h)
		var stops []float64
		for y := int(c.y * h); y < int((c.y+c.h)*h); y++ {
			rows := newRows(int(c.w * w))
			scene.Paint(Row{X: float64(int(c.x*w)) + 0.5, Y: float64(y) + 0.5, R: rows[0], G: rows[1], B: rows[2]})
			for i, v := range rows[1] {
				l := 0.2126*float64(rows[0][i]) + 0.7152*float64(v) + 0.0722*float64(rows[2][i])
				stops = append(stops, float64(curve.Light(l).Stops()))
			}
		}
		slices.Sort(stops)
		low, high := stops[len(stops)/10], stops[len(stops)*9/10]
		if low < c.low || high > c.high {
			t.Errorf("%s: middle 80 %% is %+.2f .. %+.2f stops, told %+.1f .. %+.1f", c.name, low, high, c.low, c.high)
		}
	}
}
