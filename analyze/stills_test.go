package analyze_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// pictures takes the pictures of a clip whose placement is its own.
func pictures(t *testing.T, f analyze.Source, r *analyze.Result, area *geometry.Rect) still.Stills {
	t.Helper()
	s, err := analyze.Stills(t.Context(), f, nil, r, r.Placement, area, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// fullOf is the whole frame at full size; nil without one.
func fullOf(s still.Stills) *still.Still {
	defer s.Release()
	if s.Full == nil {
		return nil
	}
	return still.Mean(s.Full, 1)
}

// TestStillIsTheFramesLight compares each pixel of a reduced still with the mean light of the
// frame's pixels that it covers.
func TestStillIsTheFramesLight(t *testing.T) {
	for _, sampling := range []synth.Sampling{synth.S420, synth.S444, synth.RGB} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling, cam.Ceiling = 4200, 40, sampling, 4
		wall := synth.Scene{Parts: []synth.Part{
			synth.NewSurface(geometry.Upright(-10, -10, 4220, 60), synth.Light{0.3, 0.2, 0.1},
				synth.Texture{CellX: 90, CellY: 20, Octaves: 4, Contrast: 0.5, Seed: 3}),
			synth.NewPanel(geometry.Upright(700, 0, 200, 40), synth.Light{9, 9, 1}, 1),
		}}
		r, f := shoot(t, cam, synth.Shot{Scene: wall, Frames: 2, Seed: 1}, sceneGrey())
		s := fullOf(pictures(t, f, r, nil))
		if s == nil || s.Width != 2100 || s.Height != 20 || s.Scale != 2 {
			t.Fatal("want a still of 2100 x 20 at scale 2")
		}
		checkStillLight(t, f, s, r.Settled)
	}
}

func checkStillLight(t *testing.T, f *film, s *still.Still, how metadata.Settled) {
	t.Helper()
	for i := 0; i < s.Width*s.Height; i += 37 {
		x, y := 2*(i%s.Width), 2*(i/s.Width)
		light := blockLight(f.Frames[0], s, how, x, y)
		for c, got := range [3]float32{s.R[i], s.G[i], s.B[i]} {
			if math.Abs(float64(got)-light[c]) > 1e-4*(math.Abs(light[c])+0.1) {
				t.Fatalf("%s: channel %d at %d,%d is %v, want %v", f.About.Chroma, c, x, y, got, light[c])
			}
		}
		// Red and green of the panel are at the ceiling, blue is not.
		want := map[bool]uint8{true: 3}[x > 710 && x < 890]
		if edge := x > 690 && x < 710 || x > 886 && x < 910; !edge && s.Clipped[i] != want {
			t.Fatalf("%s: clipped %b at %d,%d, want %b", f.About.Chroma, s.Clipped[i], x, y, want)
		}
	}
}

// blockLight returns the mean light of a block of two by two pixels.
func blockLight(frame *decode.Frame, s *still.Still, how metadata.Settled, x, y int) (light [3]float64) {
	chroma := how.Reading.Chroma(how.Matrix)
	for _, d := range [][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		code := func(p int) curve.FileCode {
			q := frame.Planes[p]
			return curve.FileCode(q.Row((y + d[1]) * q.Height / s.Height / 2)[(x+d[0])*q.Width/s.Width/2])
		}
		rgb := [3]curve.FileCode{code(0), code(1), code(2)}
		if frame.Layout == decode.YCbCr {
			rgb[0], rgb[1], rgb[2] = chroma.RGB(code(0), code(1), code(2))
		}
		for c, v := range rgb {
			light[c] += float64(how.Reading.Light(v)) / 4
		}
	}
	return light
}

// TestWaveformCountsEverySample: each column's counts add up, and a level lies where its percent
// says.
func TestWaveformCountsEverySample(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling, cam.Noise = 64, 48, synth.S420, synth.Noise{}
	half := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)},
		synth.NewPanel(geometry.Upright(32, -1, 40, 60), synth.Grey(0.9), 1)}}
	r, f := shoot(t, cam, synth.Shot{Scene: half, Frames: 1}, sceneGrey())
	w := pictures(t, f, r, nil).Waveform
	if w == nil || w.Columns != 64 {
		t.Fatalf("waveform %+v", w)
	}
	for column := range 64 {
		var n uint32
		for level := range w.Levels {
			n += w.Counts[level*w.Columns+column]
		}
		// S-Log3: 18 % at 40.64 %, 90 % at 61.0 % (61.06 worked from its formula).
		percent := curve.Percent(40.64)
		if column >= 32 {
			reading := r.Settled.Reading
			percent = reading.Percent(curve.FileCode(math.Round(float64(reading.CodeOf(0.9)))))
		}
		level := int((percent - w.First) / w.Step)
		if n != 48 || w.Counts[level*w.Columns+column] != 48 {
			t.Fatalf("column %d: %d samples, %d of them at %v, want 48", column, n, w.Counts[level*w.Columns+column], percent)
		}
	}
}

// darkRoom is a grey wall with panels four and eight stops under it.
func darkRoom(t *testing.T) (synth.Camera, synth.Shot) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling = 640, 400, synth.S420
	return cam, synth.Shot{Frames: 9, Stops: 1, Scene: synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18)},
		synth.NewPanel(geometry.Upright(400, 200, 190, 190), synth.Grey(0.18/16), 1),
		synth.NewPanel(geometry.Upright(0, 200, 190, 190), synth.Grey(0.18/256), 1),
	}}}
}

// TestShadowStrip: the strip is cut from where the picture lies nearest to scene -4 stops, or
// where it is told to be; its tone is relative to the card.
func TestShadowStrip(t *testing.T) {
	cam, shot := darkRoom(t)
	card := at(geometry.Rect{W: 200, H: 100})
	r, f := shoot(t, cam, shot, card)
	strip := pictures(t, f, r, nil).Shadows
	if strip == nil || math.Abs(float64(strip.Scene)+4) > 0.05 || len(strip.Frames) != still.StripFrames {
		t.Fatalf("strip %+v", strip)
	}
	checkStripIn(t, strip, geometry.Rect{X: 400, Y: 200, W: 190, H: 190})
	// Told to be in the darkest corner, off the cells' grid; cut off by the frame.
	dark := &geometry.Rect{X: 5, Y: 215, W: 5, H: 5}
	strip = pictures(t, f, r, dark).Shadows
	if strip == nil || math.Abs(float64(strip.Scene)+8) > 0.3 || strip.Frames[0].Width != 5 {
		t.Errorf("strip %+v, want one at -8 stops", strip)
	}
	strip = pictures(t, f, r, &geometry.Rect{X: -9, Y: 230, W: 30, H: 999}).Shadows
	if strip == nil || strip.Area != (geometry.Rect{X: 0, Y: 230, W: 21, H: 170}) {
		t.Errorf("strip %+v, want the part in the frame", strip)
	}
	// Nothing dark.
	bright := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
	r, f = shoot(t, cam, synth.Shot{Scene: bright, Frames: 2}, card)
	if strip = pictures(t, f, r, nil).Shadows; strip != nil {
		t.Errorf("a strip of shadows at %+.1f stops", float64(strip.Scene))
	}
}

func checkStripIn(t *testing.T, strip *still.Strip, panel geometry.Rect) {
	t.Helper()
	s := strip.Frames[0]
	if strip.Area != (geometry.Rect{X: s.X, Y: s.Y, W: 160, H: 160}) || s.Width != 160 || s.Height != 160 {
		t.Errorf("strip of %d x %d at %d,%d, area %+v", s.Width, s.Height, s.X, s.Y, strip.Area)
	}
	if !strip.Area.Image().In(panel.Image()) {
		t.Errorf("strip at %+v, want it in %+v", strip.Area, panel)
	}
}

// TestStripFollowsCarriedGrey: a clip that takes its grey over from another has its strip chosen
// and labelled by that grey. With grey four stops under nominal the panel at -8 stops is the one
// at scene -4 stops; the clip's own weak average would have chosen the other.
func TestStripFollowsCarriedGrey(t *testing.T) {
	cam, shot := darkRoom(t)
	shot.Stops = 0
	r, f := shoot(t, cam, shot, sceneGrey())
	own := pictures(t, f, r, nil).Shadows
	if own == nil {
		t.Fatal("no strip by nominal grey")
	}
	checkStripIn(t, own, geometry.Rect{X: 400, Y: 200, W: 190, H: 190})
	held := &placement.Placement{Stops: -4, Method: placement.Card, Reflectance: 0.18}
	carried := placement.Carry(held, "A001.mov", r.Placement, r.Settled.Reading)
	s, err := analyze.Stills(t.Context(), f, nil, r, carried, nil, nil)
	if err != nil || s.Shadows == nil {
		t.Fatalf("strip %+v, %v", s.Shadows, err)
	}
	checkStripIn(t, s.Shadows, geometry.Rect{X: 0, Y: 200, W: 190, H: 190})
	if math.Abs(float64(s.Shadows.Scene)+4) > 0.3 {
		t.Errorf("the strip is labelled %+.2f stops, want -4", float64(s.Shadows.Scene))
	}
}

// A fading clip fails from one of its readings on.
type fading struct {
	*film
	left int
}

func (r *fading) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	if r.left--; r.left < 0 {
		return errors.New("the card is gone")
	}
	return r.film.Read(ctx, opt, visit)
}

// TestPicturesAreNoReasonToFail: a clip that cannot be read again for its pictures is measured.
func TestPicturesAreNoReasonToFail(t *testing.T) {
	k := testframes.Kinds[1]
	f := reel(k, testframes.Make(k, 64, 48, 10, 4, testframes.Contents(10, 1)["grainy"]))
	how := metadata.Settled{Reading: testframes.Reading(t, 10), Matrix: curve.BT709}
	twice := &fading{f, 2}
	r := measure(t, twice, how, sceneGrey())
	if s := pictures(t, twice, r, nil); r.Frames != 4 || s.Frame != nil {
		t.Errorf("%d frames, still %v", r.Frames, s.Frame)
	}
	if _, err := analyze.Clip(t.Context(), &fading{f, 1}, how, sceneGrey(), nil); err == nil {
		t.Error("a walk that fails gives a result")
	}
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := analyze.Stills(ended, f, nil, r, r.Placement, nil, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted pictures end with %v", err)
	}
}
