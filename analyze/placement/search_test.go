package placement_test

import (
	"slices"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// TestFramesThatAgree: where two frames show one card at one level the next two are passed over, and none
// once a frame differs: a card that is taken away or comes later, light that changes.
func TestFramesThatAgree(t *testing.T) {
	cam := synth.NewCamera(width, height, curveNamed(t, "S-Log3"))
	cam.Noise = synth.Noise{Read: 0.001, Shot: 1e-5}
	at := func(stops curve.Stops, card bool) synth.Planes {
		parts := []synth.Part{synth.Fill{Light: synth.Grey(0.1)},
			synth.NewPanel(geometry.Upright(60, 40, 140, 200), synth.Light{0.3, 0.1, 0.05}, 1)}
		if card {
			parts = append(parts, synth.NewCard(geometry.Upright(300, 100, 110, 150), curve.MidGrey))
		}
		all, _, err := synth.Expose(cam, synth.Shot{Scene: synth.Scene{Parts: parts}, Frames: 1, Stops: stops, Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		return all[0]
	}
	shown, dark, gone := at(0.5, true), at(0.2, true), at(0.5, false)
	for _, tc := range []struct {
		name   string
		planes func(group int) synth.Planes
		want   []int // groups searched
	}{
		{"one card", func(int) synth.Planes { return shown }, []int{0, 1, 4, 7, 10}},
		{"no card", func(int) synth.Planes { return gone }, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}},
		{"taken away", func(g int) synth.Planes {
			if g < 6 {
				return shown
			}
			return gone
		}, []int{0, 1, 4, 7, 8, 9, 10, 11}},
		{"comes later", func(g int) synth.Planes {
			if g < 3 {
				return gone
			}
			return shown
		}, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}},
		{"light that changes", func(g int) synth.Planes {
			if g < 6 {
				return shown
			}
			return dark
		}, []int{0, 1, 4, 7, 8, 9, 10, 11}},
	} {
		search := placement.NewSearch(cam.Reading(), cam.Matrix, placement.GreyFrom{Reflectance: curve.MidGrey}, 0)
		var searched []int
		for g := range 12 {
			search.Told = func() {
				if !slices.Contains(searched, g) {
					searched = append(searched, g)
				}
			}
			f := tc.planes(g).Frame()
			f.Group, f.Index = g, 20*g
			search.Collect(&cells.Frame{Frame: f, Start: true})
		}
		if !slices.Equal(searched, tc.want) {
			t.Errorf("%s: groups %v are searched, want %v", tc.name, searched, tc.want)
		}
	}
}
