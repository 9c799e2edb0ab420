package analyze

import (
	"context"
	"errors"
	"image"
	"math"
	"testing"

	"stopledger/decode"
	"stopledger/decode/synth"
)

// TestStillIsTheFramesLight compares each pixel of a reduced still with the mean light of the
// frame's pixels that it covers.
func TestStillIsTheFramesLight(t *testing.T) {
	for _, sampling := range []synth.Sampling{synth.S420, synth.S444, synth.RGB} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height, cam.Sampling, cam.Ceiling = 1000, 40, sampling, 4
		wall := synth.Scene{Parts: []synth.Part{
			synth.NewSurface(synth.Rect(-10, -10, 1020, 60), synth.Light{0.3, 0.2, 0.1}, synth.Texture{CellX: 90, CellY: 20, Octaves: 4, Contrast: 0.5, Seed: 3}),
			synth.NewPanel(synth.Rect(700, 0, 200, 40), synth.Light{9, 9, 1}, 1),
		}}
		f := expose(t, cam, synth.Shot{Scene: wall, Frames: 2, Seed: 1})
		set := settings(cam)
		set.Grey, set.Pictures = "scene", true
		r := measure(t, f, set)
		s := r.Stills.Frame
		if s == nil || s.Width != 500 || s.Height != 20 || s.Scale != 2 {
			t.Fatalf("still %+v, want 500 x 20 at scale 2", s)
		}
		checkStillLight(t, f, s, set)
	}
}

func checkStillLight(t *testing.T, f *film, s *Still, set Settings) {
	t.Helper()
	frame := f.frames[0].Frame()
	chroma := set.Reading.Chroma(set.Matrix)
	for i := 0; i < s.Width*s.Height; i += 37 {
		x, y := 2*(i%s.Width), 2*(i/s.Width)
		var light [3]float64
		for _, d := range [][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
			at := func(p int) float64 {
				q := frame.Planes[p]
				return float64(q.Row((y + d[1]) * q.Height / s.Height / 2)[(x+d[0])*q.Width/s.Width/2])
			}
			rgb := [3]float64{at(0), at(1), at(2)}
			if frame.Layout == decode.YCbCr {
				rgb[0], rgb[1], rgb[2] = chroma.RGB(at(0), at(1), at(2))
			}
			for c, v := range rgb {
				light[c] += set.Reading.Linear(v) / 4
			}
		}
		for c, got := range [3]float32{s.R[i], s.G[i], s.B[i]} {
			if math.Abs(float64(got)-light[c]) > 1e-4*(math.Abs(light[c])+0.1) {
				t.Fatalf("%s: channel %d at %d,%d is %v, want %v", f.info.Chroma, c, x, y, got, light[c])
			}
		}
		// Red and green of the panel are at the ceiling, blue is not.
		want := map[bool]uint8{true: 3}[x > 710 && x < 890]
		if edge := x > 690 && x < 710 || x > 886 && x < 910; !edge && s.Clipped[i] != want {
			t.Fatalf("%s: clipped %b at %d,%d, want %b", f.info.Chroma, s.Clipped[i], x, y, want)
		}
	}
}

// TestWaveformCountsEverySample: each column's counts add up, and a level lies where its percent
// says.
func TestWaveformCountsEverySample(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling, cam.Noise = 64, 48, synth.S420, synth.Noise{}
	half := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}, synth.NewPanel(synth.Rect(32, -1, 40, 60), synth.Grey(0.9), 1)}}
	set := settings(cam)
	set.Grey, set.Pictures = "scene", true
	w := measure(t, expose(t, cam, synth.Shot{Scene: half, Frames: 1}), set).Stills.Waveform
	if w == nil || w.Columns != 64 {
		t.Fatalf("waveform %+v", w)
	}
	for column := range 64 {
		var n uint32
		for level := range w.Levels {
			n += w.Counts[level*w.Columns+column]
		}
		// S-Log3: 18 % at 40.64 %, 90 % at 61.0 % (61.06 worked from its formula).
		percent := 40.64
		if column >= 32 {
			percent = set.Reading.Percent(math.Round(set.Reading.CodeOf(0.9)))
		}
		level := int((percent - w.First) / w.Step)
		if n != 48 || w.Counts[level*w.Columns+column] != 48 {
			t.Fatalf("column %d: %d samples, %d of them at %.1f %%, want 48", column, n, w.Counts[level*w.Columns+column], percent)
		}
	}
}

// TestShadowStrip: the strip is cut from where the picture lies nearest to scene -4 stops, or
// where it is told to be; its tone is relative to the card.
func TestShadowStrip(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling = 480, 272, synth.S420
	room := synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18)}, synth.NewPanel(synth.Rect(300, 150, 140, 100), synth.Grey(0.18/16), 1), synth.NewPanel(synth.Rect(0, 150, 140, 100), synth.Grey(0.18/256), 1),
	}}
	f := expose(t, cam, synth.Shot{Scene: room, Frames: 9, Stops: 1})
	set := settings(cam)
	set.Pictures = true
	set.Patches = []Patch{{image.Rect(0, 0, 200, 100), 0.18}}
	strip := measure(t, f, set).Stills.Shadows
	if strip == nil || math.Abs(strip.SceneStops+4) > 0.05 || len(strip.Frames) != stripFrames {
		t.Fatalf("strip %+v", strip)
	}
	if s := strip.Frames[0]; s.X < 300 || s.X+s.Width > 440 || s.Y < 150 || s.Y+s.Height > 250 || s.Width != 96 || s.Height != 64 {
		t.Errorf("strip of %d x %d at %d,%d", s.Width, s.Height, s.X, s.Y)
	}
	// Told to be in the darkest corner, cut off by the frame and off the cells' grid.
	set.Shadows = image.Rect(5, 165, 10, 170)
	if strip = measure(t, f, set).Stills.Shadows; strip == nil || math.Abs(strip.SceneStops+8) > 0.3 || strip.Frames[0].Width != 5 {
		t.Errorf("strip %+v, want one at -8 stops", strip)
	}
	// Nothing dark.
	bright := synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}
	set.Shadows = image.Rectangle{}
	if strip = measure(t, expose(t, cam, synth.Shot{Scene: bright, Frames: 2}), set).Stills.Shadows; strip != nil {
		t.Errorf("a strip of shadows at %+.1f stops", strip.SceneStops)
	}
}

// A readOnce fails from its third reading on: the scout and the walk pass, the stills do not.
type readOnce struct {
	*reel
	left int
}

func (r *readOnce) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	if r.left--; r.left < 0 {
		return errors.New("the card is gone")
	}
	return r.reel.Read(ctx, opt, visit)
}

// TestPicturesAreNoReasonToFail: a clip that cannot be read again for its pictures is measured.
func TestPicturesAreNoReasonToFail(t *testing.T) {
	film := newReel(kinds[1], makeFrames(kinds[1], 64, 48, 10, 4, contents(10, 1)["grainy"]))
	set := Settings{Reading: readingOf(t, 10), Matrix: camera(t, "S-Log3").Matrix, Reflectance: 0.18, Grey: "scene", Pictures: true, Threads: 1}
	if r := measure(t, &readOnce{film, 2}, set); r.Frames != 4 || r.Stills.Frame != nil {
		t.Errorf("%d frames, still %v", r.Frames, r.Stills.Frame)
	}
	if _, err := Clip(t.Context(), &readOnce{film, 1}, set); err == nil {
		t.Error("a walk that fails gives a result")
	}
}
