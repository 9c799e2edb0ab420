package footage

import (
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// Under the knee the shoulder is the light itself; at the knee value and slope go on without a
// step; over it light rises ever more slowly to half way between knee and top.
func TestShoulder(t *testing.T) {
	const top = 8.0
	for _, stops := range []curve.Stops{0.5, 1, 2, 4} {
		knee := top * math.Exp2(-float64(stops))
		for _, light := range []float64{-0.01, 0, 0.18, knee / 2, knee} {
			if got := shoulder(light, top, stops); got != light {
				t.Errorf("%g stops: %g became %g", float64(stops), light, got)
			}
		}
		const step = 1e-5
		slope := (shoulder(knee+step, top, stops) - shoulder(knee, top, stops)) / step
		if math.Abs(slope-1) > 1e-4 {
			t.Errorf("%g stops: slope of %.6f at the knee, want 1", float64(stops), slope)
		}
		before, rise := knee, math.Inf(1)
		for light := knee + 0.1; light < 3*top; light += 0.1 {
			now := shoulder(light, top, stops)
			if !(now > before) || !(now-before < rise) || now > light || now >= (top+knee)/2 {
				t.Fatalf("%g stops: %.3f becomes %.6f after %.6f", float64(stops), light, now, before)
			}
			before, rise = now, now-before
		}
		if got, want := shoulder(1e6, top, stops), (top+knee)/2; math.Abs(got-want) > 1e-9 {
			t.Errorf("%g stops: ends at %.6f, want %.6f", float64(stops), got, want)
		}
	}
	for _, light := range []float64{-1, 0, 4, 100} {
		if got := shoulder(light, top, 0); got != light {
			t.Errorf("without a shoulder %g became %g", light, got)
		}
	}
}

// Codes are the curve's at the light after the shoulder, in the range and depth recorded. S-Log3's
// published formula has grey at 420 and black at 95 of 10 bits (technical summary, 2016).
func TestCodesOfLight(t *testing.T) {
	cam := NewCamera(16, 16, sLog3(t), 5)
	for light, want := range map[float64]float64{0: 95, 0.18: 420, 0.9: 420 + 261.5*math.Log10(0.91/0.19)} {
		if got := cam.codeOf(light); math.Abs(got-want) > 0.01 {
			t.Errorf("light of %g is code %.3f, want %.3f", light, got, want)
		}
	}
	cam.Record.Bits = 12
	if got := cam.codeOf(0.18); math.Abs(got-4*420) > 0.1 {
		t.Errorf("grey is code %.2f of 12 bits, want 1680", got)
	}
	cam.Record.Bits, cam.Shoulder = 10, 2
	knee := cam.top() / 4
	if a, b := cam.codeOf(knee*0.999), cam.codeOf(knee*1.001); b-a > 261.5*2*math.Log10(1.0011) {
		t.Errorf("codes jump from %.4f to %.4f at the knee", a, b)
	}
}

// A black clamp lifts what lies under the curve's black and nothing else.
func TestBlackClamp(t *testing.T) {
	cam := NewCamera(16, 16, sLog3(t), 5)
	open := cam.codeOf(-0.005)
	cam.BlackClamp = true
	black := float64(cam.Record.Reading().CodeOf(0))
	if got := cam.codeOf(-0.005); got != black || open >= black {
		t.Errorf("light under black is code %.2f open, %.2f clamped; black is %.2f", open, got, black)
	}
	if got := cam.codeOf(0.01); got <= black {
		t.Errorf("light over black is code %.2f", got)
	}
}

// The top is the highest of the ceilings.
func TestTop(t *testing.T) {
	cam := NewCamera(16, 16, sLog3(t), 4)
	want := 0.18 * 16
	if got := cam.top(); math.Abs(got/want-1.8) > 1e-9 {
		t.Errorf("top of %.4f, want %.4f", got, 1.8*want)
	}
	cam.Sensor.Clamp = true
	if got := cam.top(); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("top of %.4f, want %.4f", got, want)
	}
}

// A sensor has an even number of photosites each way, so that whole Bayer squares fit.
func TestPhotosites(t *testing.T) {
	for _, tc := range []struct {
		w, h       int
		oversample float64
		wantW      int
		wantH      int
	}{{96, 64, 1.5, 144, 96}, {96, 64, 1, 96, 64}, {50, 30, 1.5, 76, 46}, {64, 36, 1.3, 84, 46}, {33, 31, 2, 66, 62}} {
		cam := NewCamera(tc.w, tc.h, sLog3(t), 4)
		cam.Oversample = tc.oversample
		if w, h := cam.photosites(); w != tc.wantW || h != tc.wantH {
			t.Errorf("%+v: %d x %d", tc, w, h)
		}
	}
}

// Vignetting loses so many stops in the corner, a quarter of them half way out, none in the middle,
// alike in all directions.
func TestVignette(t *testing.T) {
	cam := NewCamera(80, 60, sLog3(t), 4)
	cam.Oversample, cam.Vignette = 1, 1.2
	fall := newProcess(cam).falloff
	stops := func(x, y int) float64 { return -math.Log2(float64(fall[y*80+x])) }
	for _, tc := range []struct {
		x, y int
		want float64
	}{
		{0, 0, 1.2}, {40, 30, 0}, {20, 15, 0.3}, {60, 45, 0.3}, {60, 15, 0.3},
		{0, 30, 1.2 * 0.64}, {40, 0, 1.2 * 0.36},
	} {
		if got := stops(tc.x, tc.y); math.Abs(got-tc.want) > 1e-5 {
			t.Errorf("(%d, %d) loses %.5f stops, want %.5f", tc.x, tc.y, got, tc.want)
		}
	}
	cam.Vignette = 0
	for _, v := range newProcess(cam).falloff {
		if v != 1 {
			t.Fatalf("without vignetting light is multiplied by %g", v)
		}
	}
}

// Pixels count as clipped in a channel from half a code under its ceiling on, in any and in all.
func TestClippedShares(t *testing.T) {
	ceilings := [3]float64{7.2, 4, 6}
	m := gray(10, 1, 0.18)
	set := func(x int, r, g, b float32) { m.Planes[0][x], m.Planes[1][x], m.Planes[2][x] = r, g, b }
	set(0, 7.2, 4, 6)
	set(1, 3, 4, 3)
	set(2, 3, 4*0.999, 6)
	set(3, 7.2*0.99, 4*0.99, 6*0.99)
	set(4, 7.2, 1, 1)
	want := synth.ClipShares{R: 0.2, G: 0.3, B: 0.2, Any: 0.4, All: 0.1}
	if got := clippedShares(m, ceilings); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// A frame without noise of flat light is flat: the code of that light in all channels, however the
// camera samples, demosaics, resamples and sharpens.
func TestQuietFlatFrame(t *testing.T) {
	cam := NewCamera(40, 24, sLog3(t), 5)
	cam.Vignette, cam.Sharpen, cam.Spatial, cam.Temporal = 0, 0.5, 0.7, 0.5
	cam.Sensor.PRNU, cam.Sensor.DSNU, cam.Sensor.FixedRow = 0, 0, 0
	p := newProcess(cam)
	w, h := cam.photosites()
	for frame := range 2 {
		d := p.frame(gray(w, h, 0.18), 1, frame, true)
		for c := range d.codes.Planes {
			for i, v := range d.codes.Planes[c] {
				if math.Abs(float64(v)-420) > 0.01 {
					t.Fatalf("channel %d has code %.4f at %d, want 420", c, v, i)
				}
			}
		}
		if d.clipped != (synth.ClipShares{}) {
			t.Errorf("%+v of grey is clipped", d.clipped)
		}
	}
}

// Grey is recorded where the reading of the file finds it, in either range.
func TestFrameIsReadAsRecorded(t *testing.T) {
	for _, r := range []curve.Range{curve.Narrow, curve.Full} {
		cam := NewCamera(32, 24, sLog3(t), 5)
		cam.Vignette, cam.Record.Range = 0, r
		p := NewReel(cam, Shot{Scene: flat(0.18), Frames: 1}).Next()
		var sum float64
		for _, v := range p.Samples[0] {
			sum += float64(v)
		}
		mean := curve.FileCode(sum / float64(len(p.Samples[0])))
		if stops := cam.Record.Reading().Stops(mean); math.Abs(float64(stops)) > 0.02 {
			t.Errorf("range %v: grey reads %+.3f stops", r, float64(stops))
		}
	}
}
