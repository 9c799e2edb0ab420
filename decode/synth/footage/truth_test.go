package footage

import (
	"math"
	"path/filepath"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// tone makes a tone of a light and a signal to noise ratio.
func tone(recorded curve.Stops, snr curve.Decibels) Tone {
	return Tone{Recorded: recorded, SigmaLinear: recorded.Light() / curve.Light(math.Pow(10, float64(snr)/20))}
}

// Between tones the ratio is interpolated, at them it is theirs, beyond them it is not known.
func TestTruthAt(t *testing.T) {
	truth := Truth{Tones: []Tone{tone(-8, -3), tone(-7, 4), tone(-6, 10), tone(-4, 20)}}
	for at, want := range map[curve.Stops]curve.Decibels{
		-8: -3, -7: 4, -4: 20, -7.5: 0.5, -6.25: 8.5, -5: 15, -4.5: 17.5,
	} {
		if got := truth.At(at); math.Abs(float64(got-want)) > 1e-9 {
			t.Errorf("at %+.2f stops %.4f dB, want %.4f", float64(at), float64(got), float64(want))
		}
	}
	for _, at := range []curve.Stops{-8.01, -3.99, 3, curve.Unknown[curve.Stops]()} {
		if got := truth.At(at); curve.Finite(got) {
			t.Errorf("at %+.2f stops %.2f dB, want unknown", float64(at), float64(got))
		}
	}
	if got := (Truth{}).At(0); curve.Finite(got) {
		t.Errorf("%.2f dB without tones", float64(got))
	}
}

// A camera without gains, lens or resampling is EMVA 1288's linear camera (photon transfer:
// variance = read^2 + electrons), seen through demosaicing: with bilinear weights luma has
// kr^2 + (kg^2 + kb^2) / 4 of a channel's variance at red photosites, kb^2 + (kr^2 + kg^2) / 4 at blue
// ones, kg^2 + (kr^2 + kb^2) / 2 at green ones.
func TestTonesFollowPhotonTransfer(t *testing.T) {
	for _, s := range []Sensor{{FullWell: 30000, ReadE: 4}, {FullWell: 8000, ReadE: 2}} {
		cam := NewCamera(64, 64, sLog3(t), 5)
		cam.Oversample, cam.Lens = 1, 0
		s.Ceiling, s.Gains, s.Seed = cam.Sensor.Ceiling, [3]float64{1, 1, 1}, 3
		cam.Sensor = s
		kr, kb := 0.2126*0.2126, 0.0722*0.0722 // BT.709, squared
		kg := 0.7152 * 0.7152
		part := (kr + (kg+kb)/4 + kb + (kr+kg)/4 + 2*(kg+(kr+kb)/2)) / 4
		tones := cam.Tones()
		if len(tones) < 25 || tones[0].Recorded != lowestTone {
			t.Fatalf("%d tones from %+.1f stops on", len(tones), float64(tones[0].Recorded))
		}
		for i, n := range tones {
			electrons := float64(n.Recorded.Light()) / s.Ceiling * s.FullWell
			want := math.Sqrt(part*(electrons+s.ReadE*s.ReadE)) / s.FullWell * s.Ceiling
			// 1536 pixels over 12 frames, a quarter of them independent, make it known to about 1 %.
			if math.Abs(float64(n.SigmaLinear)/want-1) > 2*statistical {
				t.Errorf("%+.1f stops: noise of %.6f, want %.6f", float64(n.Recorded), float64(n.SigmaLinear), want)
			}
			if i > 0 && (n.Recorded-tones[i-1].Recorded != toneStep || n.Code < tones[i-1].Code) {
				t.Errorf("tone %d at %+.2f stops, code %.1f", i, float64(n.Recorded), float64(n.Code))
			}
			if n.SNR() != curve.Decibels(20*math.Log10(float64(n.Recorded.Light()/n.SigmaLinear))) {
				t.Errorf("tone %d: %.3f dB", i, float64(n.SNR()))
			}
		}
	}
}

// The floor lies where light equals its noise: between the tones on either side of 0 dB. A tone's code
// is the curve's at its light: S-Log3's published formula over its toe.
func TestFloorIsWhereNoiseEqualsLight(t *testing.T) {
	cam := NewCamera(32, 32, sLog3(t), 5)
	cam.Sensor.DSNU, cam.Sensor.FixedRow = 0, 0
	truth := NewReel(cam, Shot{Scene: flat(0.18), Frames: 1}).Truth()
	for _, n := range truth.Tones {
		if light := 0.18 * math.Exp2(float64(n.Recorded)); light > 0.02 {
			want := 420 + 261.5*math.Log10((light+0.01)/0.19)
			if math.Abs(float64(n.Code)-want) > 0.3 {
				t.Errorf("%+.1f stops at code %.2f, want %.2f", float64(n.Recorded), float64(n.Code), want)
			}
		}
	}
	if got := truth.At(truth.Floor); math.Abs(float64(got)) > 1e-6 {
		t.Errorf("at the floor of %+.3f stops the ratio is %.4f dB, want 0", float64(truth.Floor), float64(got))
	}
	if curve.Finite(truth.Placement) {
		t.Errorf("a placement of %+.2f stops without a card", float64(truth.Placement))
	}
	if truth.Clipped != (synth.ClipShares{}) {
		t.Errorf("%+v is clipped before a frame was made", truth.Clipped)
	}
}

// cardScene has a grey card of a third of the frame in its middle.
func cardScene(w, h int) Scene {
	s := flat(0.1)(w, h)
	x, y := float64(w), float64(h)
	s.Still = append(s.Still, synth.NewCard(geometry.Upright(x/3, y/3, x/3, y/3), curve.MidGrey))
	return s
}

// Placement is the exposure, less what vignetting takes where the card is; over an iris pull it is
// the mean of the frames that were made.
func TestPlacement(t *testing.T) {
	cam := NewCamera(96, 64, sLog3(t), 6)
	for name, tc := range map[string]struct {
		shot     Shot
		vignette curve.Stops
		want     float64
		within   float64
	}{
		"nominal":  {Shot{}, 0, 0, 1e-3},
		"over":     {Shot{Stops: 1.25}, 0, 1.25, 1e-3},
		"pull":     {Shot{Iris: IrisPull{Stops: -1, From: 0, To: 0.28}}, 0, -0.43, 0.08},
		"vignette": {Shot{}, 3, -3. / 3 / 36, 0.01}, // mean r^2 over the middle sixth: a third of 1/36
	} {
		cam.Vignette = tc.vignette
		tc.shot.Scene, tc.shot.Frames = cardScene, 8
		reel := NewReel(cam, tc.shot)
		for range 8 {
			reel.Next()
		}
		if got := float64(reel.placement()); math.Abs(got-tc.want) > tc.within {
			t.Errorf("%s: %+.4f stops, want %+.4f", name, got, tc.want)
		}
	}
}

// A card that the camera has left behind has no placement.
func TestPlacementOutOfFrame(t *testing.T) {
	motion := func(float64) (x, y, scale float64) { return 60, 0, 1 }
	reel := NewReel(NewCamera(96, 64, sLog3(t), 6), Shot{Scene: cardScene, Motion: motion, Frames: 1})
	reel.Next()
	if got := reel.placement(); curve.Finite(got) {
		t.Errorf("%+.3f stops", float64(got))
	}
}

// What clips is counted by exposure: of two fields a frame, each counts once.
func TestClippedByExposure(t *testing.T) {
	cam := NewCamera(48, 32, sLog3(t), 3)
	for _, fields := range []bool{false, true} {
		// The exposure rises by four stops at once, from grey to all clipped, halfway in time.
		reel := NewReel(cam, Shot{Scene: flat(0.5), Frames: 4, Fields: fields,
			Iris: IrisPull{Stops: 4, From: 0.079, To: 0.0795}})
		for range 4 {
			reel.Next()
		}
		exposures := 4
		if fields {
			exposures = 8
		}
		got := reel.clipped
		if reel.exposed != exposures || math.Abs(float64(got.All)/float64(exposures)-0.5) > 0.01 || got.Any < got.All {
			t.Errorf("fields %v: %+v in all over %d exposures, want half", fields, got, reel.exposed)
		}
	}
}

// A shot written to several files at once is the same in each that is lossless.
func TestCopiesAreEqual(t *testing.T) {
	cam := NewCamera(64, 48, sLog3(t), 5)
	shot := Shot{Scene: cardScene, Frames: 3, Seed: 4}
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a.mkv"), filepath.Join(dir, "b.mov")
	lossless := synth.Encoding{Codec: synth.FFV1}
	truth, err := Record(cam, shot, Copy{a, lossless}, Copy{b, lossless})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(truth.Placement)) > 0.02 {
		t.Errorf("the card lies at %+.3f stops", float64(truth.Placement))
	}
	first, second := samples(t, a), samples(t, b)
	if len(first) != 3*(64*48+2*32*48) || !equal(first, second) {
		t.Errorf("%d samples in one file, %d in the other, or they differ", len(first), len(second))
	}
}

// samples reads all planes of all frames of a file.
func samples(t *testing.T, path string) (all []uint16) {
	t.Helper()
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer clip.Close()
	err = clip.Read(t.Context(), decode.ReadOptions{}, func(f *decode.Frame) error {
		for _, p := range f.Planes {
			for y := range p.Height {
				all = append(all, p.Row(y)...)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A file that cannot be written is an error that says so.
func TestRecordSaysWhatFailed(t *testing.T) {
	cam := NewCamera(32, 32, sLog3(t), 5)
	path := filepath.Join(t.TempDir(), "no", "such", "folder", "a.mkv")
	_, err := Record(cam, Shot{Scene: flat(0.18), Frames: 1}, Copy{path, synth.Encoding{Codec: synth.FFV1}})
	if err == nil {
		t.Error("no error")
	}
}
