package footage

import (
	"math"
	"slices"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// An iris pull changes the exposure evenly in stops between two times, and stays.
func TestIrisPull(t *testing.T) {
	shot := Shot{Stops: 0.5, Iris: IrisPull{Stops: -2, From: 1, To: 3}}
	for at, want := range map[float64]float64{0: 0.5, 1: 0.5, 1.5: 0, 2: -0.5, 3: -1.5, 9: -1.5} {
		for _, y := range []float64{0, 0.4, 1} {
			if got := math.Log2(shot.gain(at, y)); math.Abs(got-want) > 1e-12 {
				t.Errorf("after %g s: %+.4f stops, want %+.4f", at, got, want)
			}
		}
	}
	shot.Iris.To = 0 // no pull
	if got := math.Log2(shot.gain(9, 0)); math.Abs(got-0.5) > 1e-12 {
		t.Errorf("without a pull: %+.4f stops", got)
	}
}

// Bands roll over the frame: the light's mean over whole bands stays, it swings by its depth, and
// what a row has now another has later.
func TestBands(t *testing.T) {
	shot := Shot{Bands: Bands{Depth: 0.2, Hz: 1.5, Rows: 2}}
	var sum float64
	low, high := math.Inf(1), math.Inf(-1)
	for row := range 1000 {
		g := shot.gain(0.3, float64(row)/1000)
		sum += g
		low, high = min(low, g), max(high, g)
	}
	if math.Abs(sum/1000-1) > 1e-9 || math.Abs(low-0.8) > 1e-4 || math.Abs(high-1.2) > 1e-4 {
		t.Errorf("light from %.4f to %.4f, mean %.4f", low, high, sum/1000)
	}
	for _, y := range []float64{0, 0.1, 0.37} {
		// A period is 2/3 of a second, a band half the height: 0.1 s further is 0.075 of the height.
		if a, b := shot.gain(0.2, y), shot.gain(0.1, y+0.075); math.Abs(a-b) > 1e-12 {
			t.Errorf("row at %g: %.6f now, %.6f above before", y, a, b)
		}
	}
}

// Bands and pulls are in the light that the camera sees, row by row.
func TestGainIsInTheLight(t *testing.T) {
	cam := NewCamera(32, 48, sLog3(t), 5)
	shot := Shot{Scene: flat(0.18), Stops: 1, Bands: Bands{Depth: 0.3, Hz: 2, Rows: 1.5}}
	m := newStage(cam, shot).light(0.11)
	for y := range m.Height {
		want := 0.36 * (1 + 0.3*math.Cos(2*math.Pi*(2*0.11+1.5*float64(y)/float64(m.Height))))
		for c := range m.Planes {
			if got := float64(m.Row(c, y)[7]); math.Abs(got/want-1) > 1e-5 {
				t.Fatalf("row %d has light of %.5f, want %.5f", y, got, want)
			}
		}
	}
}

// With every fifth frame recorded twice, thirty frames hold 24 moments: 24 a second in a file of 30.
func TestRepeats(t *testing.T) {
	shot := Shot{Repeat: 5}
	seen := map[int]int{}
	for frame := 1; frame <= 30; frame++ {
		now, before := shot.moment(frame), shot.moment(frame-1)
		if now != before && now != before+1 {
			t.Errorf("frame %d shows moment %d after %d", frame, now, before)
		}
		if repeated := now == before; repeated != (frame%5 == 0) {
			t.Errorf("frame %d repeats the one before: %v", frame, repeated)
		}
		seen[now]++
	}
	if len(seen) != 24 || shot.moment(30) != 24 {
		t.Errorf("thirty frames show %d moments, the last is %d", len(seen), shot.moment(30))
	}
	for frame := range 20 {
		if got := (Shot{}).moment(frame); got != frame {
			t.Errorf("without repeats frame %d shows moment %d", frame, got)
		}
	}
}

// A repeated frame is the one before it, sample by sample, at its own time; all others have noise of
// their own. Times go by the rate.
func TestRepeatedFramesAreTheSame(t *testing.T) {
	cam := NewCamera(32, 24, sLog3(t), 5)
	reel := NewReel(cam, Shot{Scene: flat(0.18), Rate: 30, Repeat: 3, Frames: 10})
	var before synth.Planes
	for frame := range 10 {
		p := reel.Next()
		if p.Index != frame || math.Abs(float64(p.Time)-float64(frame)/30) > 1e-12 {
			t.Errorf("frame %d is number %d at %.4f s", frame, p.Index, float64(p.Time))
		}
		if frame > 0 {
			if same := equal(p.Samples[0], before.Samples[0]); same != (frame%3 == 0) {
				t.Errorf("frame %d is the one before: %v", frame, same)
			}
		}
		before = p
	}
	if got := (Shot{}).rate(); got != 25 {
		t.Errorf("%g frames a second where none are said, want 25", got)
	}
}

// Eight bits in a deeper file leave its lowest bits at 0 and the others alone.
func TestCoarsen(t *testing.T) {
	for bits, step := range map[int]uint16{8: 1, 10: 4, 12: 16, 16: 256} {
		p := synth.Planes{Bits: bits}
		var want [3][]uint16
		for i := range p.Samples {
			for v := range 1000 {
				code := uint16((v*67 + i) % (1 << bits))
				p.Samples[i], want[i] = append(p.Samples[i], code), append(want[i], code/step*step)
			}
		}
		coarsen(p)
		for i := range want {
			if !slices.Equal(p.Samples[i], want[i]) {
				t.Errorf("%d bits, plane %d: not steps of %d", bits, i, step)
			}
		}
	}
}

// Weaving takes odd rows of each plane, chroma's too, from the later field.
func TestWeave(t *testing.T) {
	field := func(of uint16) synth.Planes {
		p := synth.Planes{Width: [3]int{4, 2, 2}, Height: [3]int{6, 3, 3}, Layout: decode.YCbCr, Bits: 10}
		for i := range p.Samples {
			p.Samples[i] = slices.Repeat([]uint16{of + uint16(i)}, p.Width[i]*p.Height[i])
		}
		return p
	}
	now := field(100)
	weave(now, field(200))
	for i := range now.Samples {
		for y := range now.Height[i] {
			want := uint16(100 + i + y%2*100)
			for _, v := range now.Row(i, y) {
				if v != want {
					t.Errorf("plane %d, row %d has %d, want %d", i, y, v, want)
				}
			}
		}
	}
}

// Scenes are seen from the same place at every size: what moves by itself stays where its path is
// while the camera pans.
func TestMovingPartsGoWithTheView(t *testing.T) {
	cam := NewCamera(60, 40, sLog3(t), 6)
	cam.Lens, cam.Oversample = 0, 1
	lamp := synth.Lamp{X: 30, Y: 20, Radius: 4, Light: synth.Light{1, 1, 1}}
	scene := func(w, h int) Scene { return Scene{Moving: []synth.Part{lamp}} }
	stage := newStage(cam, Shot{Scene: scene, Motion: Pan(10, -5)})
	for _, at := range []float64{0, 0.3, 1} {
		_, x, y, _, _ := moments(stage.light(at).Planes[1], 60)
		if math.Abs(x+0.5-(30-10*at)) > geometric || math.Abs(y+0.5-(20+5*at)) > geometric {
			t.Errorf("after %g s the lamp is at (%.3f, %.3f)", at, x+0.5, y+0.5)
		}
	}
}

// Marks of still and of moving parts are all known.
func TestMarksOfAScene(t *testing.T) {
	card := func(x float64) synth.Part { return synth.NewCard(geometry.Upright(x, 5, 10, 10), curve.MidGrey) }
	s := Scene{Still: []synth.Part{card(1)}, Moving: []synth.Part{card(20), card(40)}}
	if n := len(s.marks()); n != 3 {
		t.Errorf("%d marks of three cards", n)
	}
}
