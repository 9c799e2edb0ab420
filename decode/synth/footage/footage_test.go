package footage

import (
	"math"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// Tolerances of this package's tests.
const (
	// statistical is how far a standard deviation from some ten thousand samples may lie off: four
	// times its relative error of 1/sqrt(2 n).
	statistical = 0.03
	// geometric is how far an edge may lie off after cubic interpolation, in pixels.
	geometric = 0.05
)

func sLog3(t *testing.T) *curve.Curve {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func flat(level float32) func(int, int) Scene {
	return func(w, h int) Scene {
		return Scene{Still: []synth.Part{synth.NewPanel(geometry.Upright(-500, -500, 3000, 3000),
			synth.Light{level, level, level}, 0)}}
	}
}

// A photosite's noise is that of EMVA 1288's linear camera: variance = read^2 + electrons, in
// electrons (release 4.0, section 2.4).
func TestPhotositeNoise(t *testing.T) {
	s := Sensor{FullWell: 20000, ReadE: 4, Ceiling: 5, Gains: [3]float64{1.8, 1, 1.5}}
	p := s.pattern(128, 128)
	for _, electrons := range []float64{0, 3, 10, 400, 9000} {
		light := NewImage(128, 128)
		for c := range light.Planes {
			for i := range light.Planes[c] {
				light.Planes[c][i] = float32(electrons / s.FullWell * s.Ceiling * s.Gains[c])
			}
		}
		raw := s.expose(light, p, 1, 0, false)
		var e []float64
		for i, v := range raw {
			e = append(e, float64(v)/s.Ceiling*s.FullWell/s.Gains[site(i%128, i/128)])
		}
		mean, sd := stat.MeanStdDev(e, nil)
		if want := math.Sqrt(s.ReadE*s.ReadE + electrons); math.Abs(sd/want-1) > statistical {
			t.Errorf("%g electrons: noise of %.2f, want %.2f", electrons, sd, want)
		}
		if math.Abs(mean-electrons) > 4*sd/128 {
			t.Errorf("%g electrons: mean %.2f", electrons, mean)
		}
	}
}

// A photosite clips at its full well, before the white balance: channels of gain 1.8, 1 and 1.5
// clip at so many times the light.
func TestEachChannelClipsAtItsOwnLight(t *testing.T) {
	cam := NewCamera(96, 64, sLog3(t), 4)
	reel := NewReel(cam, Shot{Scene: flat(30), Frames: 1})
	p := reel.Next()
	truth := reel.Truth()
	for c, gain := range []float64{1.8, 1, 1.5} {
		// S-Log3's published formula, light of 0.18 x 2^4 x gain (technical summary, 2016).
		want := 420 + 261.5*math.Log10((0.18*16*gain+0.01)/0.19)
		if math.Abs(float64(truth.Ceilings[c])-want) > 0.05 {
			t.Errorf("channel %d clips at %.2f, want %.2f", c, truth.Ceilings[c], want)
		}
	}
	if truth.Clipped.All < 0.999 {
		t.Errorf("%.3f of the frame is clipped in all channels", truth.Clipped.All)
	}
	luma := 0.2126*truth.Ceilings[0] + 0.7152*truth.Ceilings[1] + 0.0722*truth.Ceilings[2]
	for _, v := range p.Samples[0] {
		if math.Abs(float64(v)-float64(luma)) > 0.51 {
			t.Fatalf("clipped luma is %d, want %.2f everywhere", v, luma)
		}
	}
}

// What Tones says of the noise is what frames of a flat scene show.
func TestTonesHoldInFrames(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for _, set := range []func(*Camera){
		func(*Camera) {},
		func(c *Camera) { c.Temporal = 0.3 },
		func(c *Camera) { c.Spatial, c.Sharpen = 0.6, 0.3 },
	} {
		cam := NewCamera(160, 90, sLog3(t), 5)
		cam.Vignette = 0
		set(&cam)
		reel := NewReel(cam, Shot{Scene: flat(0.18), Frames: 30, Seed: 9})
		var frames []synth.Planes
		for range 30 {
			frames = append(frames, reel.Next())
		}
		var sum, n float64
		for i := range frames[0].Samples[0] {
			var v []float64
			for _, f := range frames[14:] {
				v = append(v, float64(f.Samples[0][i]))
			}
			sum += stat.Variance(v, nil)
			n++
		}
		got := math.Sqrt(sum/n - 1.0/12) // rounding: EMVA 1288 takes off 1/12 code^2
		want := sigmaAt(reel.Truth().Tones, 0)
		if math.Abs(got/want-1) > 2*statistical {
			t.Errorf("noise at grey is %.3f codes, Tones says %.3f", got, want)
		}
	}
}

func sigmaAt(tones []Tone, recorded curve.Stops) float64 {
	for _, n := range tones {
		if math.Abs(float64(n.Recorded-recorded)) < 0.01 {
			return float64(n.SigmaCode)
		}
	}
	return math.NaN()
}

// Natural pictures' amplitude falls about as 1/f (Field, "Relations between the statistics of
// natural images and the response properties of cortical cells", 1987: slopes of power near -2).
// Power at half the frequency is found from means over 2 x 2, and so on: the variance of
// differences of neighbouring block means stays nearly the same over scales.
func TestShapesHaveNaturalStatistics(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	const side = 512
	m := NewImage(side, side)
	m.paint([]synth.Part{NewShapes(0, 0, side, side, 3, 200, 5)}, 0, 0, 0)
	level := make([]float64, side*side)
	for i, v := range m.Planes[1] {
		level[i] = math.Log(float64(v) + 1e-4)
	}
	var logScale, logVariance []float64
	for size := 2; size <= 64; size *= 2 {
		n := side / size
		block := func(bx, by int) (sum float64) {
			for y := by * size; y < (by+1)*size; y++ {
				for x := bx * size; x < (bx+1)*size; x++ {
					sum += level[y*side+x]
				}
			}
			return sum / float64(size*size)
		}
		var square, count float64
		for by := range n {
			for bx := range n - 1 {
				d := block(bx+1, by) - block(bx, by)
				square += d * d
				count++
			}
		}
		logScale = append(logScale, math.Log(float64(size)))
		logVariance = append(logVariance, math.Log(square/count))
	}
	if _, slope := stat.LinearRegression(logScale, logVariance, nil, false); math.Abs(slope) > 0.6 {
		t.Errorf("contrast between neighbours changes by size^%.2f; scale-invariant pictures have 0", slope)
	}
}

// Movement by a fraction of a pixel moves an edge by that fraction.
func TestMotionMovesByFractions(t *testing.T) {
	cam := NewCamera(96, 64, sLog3(t), 6)
	cam.Vignette = 0
	scene := func(w, h int) Scene {
		return Scene{Still: []synth.Part{
			synth.NewPanel(geometry.Upright(-500, -500, 3000, 3000), synth.Light{0.1, 0.1, 0.1}, 0),
			synth.NewPanel(geometry.Upright(float64(w)/2, -500, 3000, 3000), synth.Light{0.4, 0.4, 0.4}, 0),
		}}
	}
	edge := func(x float64) float64 {
		motion := func(float64) (float64, float64, float64) { return x, 0, 1 }
		stage := newStage(cam, Shot{Scene: scene, Motion: motion, Frames: 1})
		m := stage.light(0)
		var sum float64
		for _, v := range m.Row(1, m.Height/2) {
			sum += (float64(v) - 0.1) / 0.3
		}
		return (float64(m.Width) - sum) / cam.Oversample
	}
	for _, x := range []float64{0.05, 0.3, 0.5, 1.25, -0.6} {
		if d := edge(0) - edge(x); math.Abs(d-x) > geometric {
			t.Errorf("moved by %g pixels, the edge moved by %.3f", x, d)
		}
	}
}

// Whatever lies over the picture is what it says, and what is lossless comes back as it was made.
func TestRecordedFramesComeBack(t *testing.T) {
	cam := NewCamera(128, 96, sLog3(t), 5)
	shot := Shot{Scene: flat(0.18), Frames: 8, Repeat: 4, Eight: true,
		Overlays: []Overlay{Matte{Rows: 12, Code: 64}, Logo{X: 90, Y: 20, Size: 16, Code: 940},
			Text{X: 8, Y: 70, Dot: 2, Code: 800}}}
	path := filepath.Join(t.TempDir(), "shot.mkv")
	if _, err := Record(cam, shot, Copy{path, synth.Encoding{Codec: synth.FFV1}}); err != nil {
		t.Fatal(err)
	}
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer clip.Close()
	reel := NewReel(cam, shot)
	var before []uint16
	err = clip.Read(t.Context(), decode.ReadOptions{}, func(f *decode.Frame) error {
		want := reel.Next()
		var now []uint16
		for y := range f.Planes[0].Height {
			now = append(now, f.Planes[0].Row(y)...)
		}
		if !equal(now, want.Samples[0]) {
			t.Errorf("frame %d is not the one recorded", f.Index)
		}
		if repeated := before != nil && equal(now, before); repeated != (f.Index == 4) {
			t.Errorf("frame %d repeats the one before: %v", f.Index, repeated)
		}
		if now[0] != 64 || now[20*128+91] != 940&^3 {
			t.Errorf("matte %d, logo %d", now[0], now[20*128+91])
		}
		for _, v := range now {
			if v%4 != 0 {
				t.Fatalf("code %d in a picture of 8 bits", v)
			}
		}
		before = now
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func equal(a, b []uint16) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

// Fields are half a frame apart: with the scene panning, odd rows show it further on.
func TestFields(t *testing.T) {
	cam := NewCamera(128, 64, sLog3(t), 5)
	scene := func(w, h int) Scene { return Scene{Still: []synth.Part{NewShapes(-200, -200, 800, 600, 4, 60, 3)}} }
	shot := Shot{Scene: scene, Motion: Pan(100, 0), Frames: 2, Fields: true}
	woven := NewReel(cam, shot).Next()
	shot.Fields = false
	plain := NewReel(cam, shot).Next()
	var even, odd float64
	for y := range 64 {
		for x, v := range woven.Row(0, y) {
			d := math.Abs(float64(v) - float64(plain.Row(0, y)[x]))
			if y%2 == 0 {
				even += d
			} else {
				odd += d
			}
		}
	}
	if even != 0 || odd == 0 {
		t.Errorf("even rows differ by %.0f codes in all, odd ones by %.0f", even, odd)
	}
}

func TestTrialsAreReproducible(t *testing.T) {
	if testing.Short() {
		t.Skip("takes long under the race detector")
	}
	for seed := uint64(1); seed < 6; seed++ {
		a, b := NewTrial(seed, 96, 64, sLog3(t)), NewTrial(seed, 96, 64, sLog3(t))
		if !equal(NewReel(a.Camera, a.Shot).Next().Samples[0], NewReel(b.Camera, b.Shot).Next().Samples[0]) {
			t.Errorf("trial %d differs from itself", seed)
		}
	}
}
