package synth

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"stopledger/curve"
)

// bench is the camera of most tests, recording S-Log3.
func bench(t testing.TB, width, height int) Camera {
	t.Helper()
	slog3, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return NewCamera(width, height, slog3)
}

func TestSameSeedSamePlanes(t *testing.T) {
	cam := bench(t, 100, 50) // odd band at the end
	cam.Pattern = Pattern{Seed: 9, PRNU: 0.01, DSNU: 1e-3, Rows: 1e-3, Columns: 1e-3}
	for _, grain := range []Grain{White, Shared} {
		cam.Grain = grain
		shot := Shot{Scene: TestTiles(100, 50), Seed: 7, Frames: 3}
		before := runtime.GOMAXPROCS(1)
		alone := Render(cam, shot, 2)
		runtime.GOMAXPROCS(5)
		shared := Render(cam, shot, 2)
		runtime.GOMAXPROCS(before)
		shot.Seed = 8
		other := Render(cam, shot, 2)
		for i := range alone.Samples {
			if !slices.Equal(alone.Samples[i], shared.Samples[i]) {
				t.Errorf("grain %v: plane %d depends on the number of workers", grain, i)
			}
			if slices.Equal(alone.Samples[i], other.Samples[i]) {
				t.Errorf("grain %v: plane %d does not depend on the seed", grain, i)
			}
		}
		if alone.Clipped != shared.Clipped {
			t.Errorf("grain %v: counts %+v and %+v", grain, alone.Clipped, shared.Clipped)
		}
	}
}

// The codes of noiseless neutral tiles are the curve's, and their chroma is exactly neutral,
// whatever the curve's convention, the range, the depth and the sampling.
func TestNeutralCodes(t *testing.T) {
	for _, name := range []string{"S-Log3", "Linear"} {
		c, err := curve.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, bits := range []int{8, 10, 12, 16} {
			for _, rng := range []curve.Range{curve.Narrow, curve.Full} {
				for _, s := range []Sampling{S420, S422, S444, RGB} {
					cam := bench(t, 96, 80)
					cam.Noise, cam.Ceiling = Noise{}, 0
					cam.Curve, cam.Bits, cam.Range, cam.Sampling = c, bits, rng, s
					checkNeutral(t, cam)
				}
			}
		}
	}
}

// nearest is half a code, and what single precision leaves of 16-bit codes.
const nearest = 0.51

func checkNeutral(t *testing.T, cam Camera) {
	t.Helper()
	frames, truth, err := Expose(cam, Shot{Scene: TestTiles(96, 80), Frames: 1})
	if err != nil {
		t.Fatal(err)
	}
	_, high := cam.codeLimits()
	for _, g := range truth.Regions {
		in := g.Rect(0)
		want := float64(min(cam.Reading().CodeOf(g.Reflectance), high))
		got := float64(frames[0].Row(0, in.Y+in.H/2)[in.X+in.W/2])
		if math.Abs(got-want) > nearest {
			t.Errorf("%s %d bits range %v sampling %v, %s: code %v, want %v",
				cam.Curve.Name, cam.Bits, cam.Range, cam.Sampling, g.Name, got, want)
		}
	}
	if cam.Sampling == RGB {
		return
	}
	mid := uint16(1) << (cam.Bits - 1)
	for i := 1; i < 3; i++ {
		for k, v := range frames[0].Samples[i] {
			if v != mid {
				t.Fatalf("%s %d bits range %v sampling %v: chroma %d of plane %d is %d, want %d",
					cam.Curve.Name, cam.Bits, cam.Range, cam.Sampling, k, i, v, mid)
			}
		}
	}
}

// Render returns one frame of a shot.
func Render(cam Camera, shot Shot, frame int) Planes {
	r, err := NewRenderer(cam, shot)
	if err != nil {
		panic(err)
	}
	return r.Frame(frame)
}
