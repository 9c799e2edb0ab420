package clipping

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// TestWhites burns a square of 8 x 8 at video white (940, Recommendation ITU-R BT.2100-2) into noise, in every
// layout: its samples are counted in the cells it cuts; where these are covered by an overlay they are no
// ceiling, and where they are not they pile up as clipped light does.
func TestWhites(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 9))
	for _, k := range testframes.Kinds {
		r := testframes.Reading(t, 10)
		f := NewFinder(r, curve.BT709, Coding{})
		frames := testframes.Make(k, 160, 96, 10, 2, func(_, plane, x, y int) uint16 {
			if k.Layout == decode.YCbCr && plane > 0 {
				return 512
			}
			if x >= 44 && x < 52 && y >= 20 && y < 28 {
				return 940
			}
			return uint16(480 + random.IntN(40))
		})
		f.Collect(&cells.Frame{Frame: frames[0], Start: true})
		f.Collect(&cells.Frame{Frame: frames[1], Before: frames[0]})
		half := uint32(32 / k.X / k.Y)
		for i, n := range f.Whites()[0] {
			if want := map[int]uint32{12: half, 13: half}[i]; n != want {
				t.Errorf("%s: %d samples at video white in cell %d, want %d", k.Name, n, i, want)
			}
		}
		mask := make(cells.Mask, 60)
		mask[12], mask[13] = true, true
		bare, covered := f.Result(nil), f.Result(mask)
		if !bare.Measured || math.Abs(float64(bare.Code)-940) > 1 || covered.Measured || covered.Brightest > 2 {
			t.Errorf("%s: a ceiling at %v, measured %v; covered %+v", k.Name, bare.Code, bare.Measured, covered)
		}
	}
}
