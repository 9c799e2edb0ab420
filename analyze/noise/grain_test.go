package noise

import (
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/decode/synth"
)

// TestGrainIsMeasured: the side of a grain is the root of the sum of correlations, 1 for white
// noise and 2 for noise shared by two neighbours each way.
func TestGrainIsMeasured(t *testing.T) {
	for grain, want := range map[synth.Grain]float64{synth.White: 1, synth.Shared: 2} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling, cam.Grain = 256, 160, synth.S444, grain
		cam.Noise = synth.Noise{Read: 0.004, Shot: 0.0008}
		grey := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
		r, _ := expose(t, cam, synth.Shot{Scene: grey, Frames: 4, Seed: 6})
		if math.Abs(float64(r.GrainPx)/want-1) > grainShare {
			t.Errorf("grain of %.3f samples, want %.0f", r.GrainPx, want)
		}
		if len(r.Channels) != 3 {
			t.Fatalf("%d channels have tones", len(r.Channels))
		}
		for _, c := range r.Channels {
			if math.Abs(float64(c.GrainPx)/want-1) > grainShare {
				t.Errorf("channel %s: grain of %.3f samples, want %.0f", c.Name, c.GrainPx, want)
			}
		}
	}
}

// TestGrainTakenFromCells: noise filtered by [1 1]/2 both ways has correlation 1/2 to the next
// sample; a cell less its mean and tilt then keeps (256 - 10.78)/253 of what white noise would:
// per axis 1 + 15/16 of it goes into a mean and 1 + 13/16 into a tilt.
func TestGrainTakenFromCells(t *testing.T) {
	mean, tilt := 1+15.0/16, 1+13.0/16
	want := (256 - mean*mean - 2*mean*tilt) / 253
	random := rand.New(rand.NewPCG(3, 4))
	var list []detailCell
	for range 400 {
		var white [17][17]float32
		for y := range white {
			for x := range white[y] {
				white[y][x] = float32(random.NormFloat64())
			}
		}
		d, none := make([]float32, cells.Area), make([]float32, cells.Area)
		for i := range d {
			x, y := i%16, i/16
			d[i] = (white[y][x] + white[y+1][x] + white[y][x+1] + white[y+1][x+1]) / 2
		}
		list = append(list, lookAt(nil, d, none, cells.Size)[0].cell())
	}
	g := grainOf(list)
	if math.Abs(g.kept-want) > 0.004 || math.Abs(g.length/2-1) > grainShare || math.Abs(g.squares-2.25) > 0.1 {
		t.Errorf("grain %+v, want length 2, squares 2.25, kept %.4f", g, want)
	}
	// Differences have the variance 1 here, one frame's noise half of it.
	var variance float64
	for _, c := range list {
		variance += c.variance / 400 / g.kept
	}
	if math.Abs(variance-0.5) > 4*0.5*math.Sqrt(2*2.25/256/400) {
		t.Errorf("variance %.4f, want 0.5", variance)
	}
}
