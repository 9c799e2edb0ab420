package analyze_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
	"stopledger/testdata/footage"
)

// A format is what a part of a changing clip is recorded as.
type format struct {
	width, height, bits int
	sampling            synth.Sampling
}

// part records 20 frames of a scene with a grey card as H.264 without a container's index.
func part(t *testing.T, f format, kind string, seconds float64) []byte {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("the ffmpeg program is not installed")
	}
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Bits, cam.Sampling = f.width, f.height, f.bits, f.sampling
	path := filepath.Join(t.TempDir(), "part.mp4")
	shot := synth.Shot{Scene: synth.Wheelhouse(f.width, f.height), Frames: 20, Seed: 2, Stops: 0.7}
	if _, err := synth.Record(path, cam, shot, synth.Encoding{Codec: synth.H264, LongGOP: true, Quality: 8}); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("ffmpeg", "-v", "error", "-i", path, "-c", "copy", "-bsf:v", "h264_mp4toannexb",
		"-output_ts_offset", fmt.Sprint(seconds), "-mpegts_flags", "initial_discontinuity", "-f", kind, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestChangingClips measures clips whose picture changes after frame 20, in groups and every frame:
// up to there.
func TestChangingClips(t *testing.T) {
	first := format{192, 112, 10, synth.S422}
	for _, c := range []struct {
		name, kind string
		second     format
	}{
		{"size", "h264", format{256, 144, 10, synth.S422}},
		{"depth", "h264", format{192, 112, 8, synth.S422}},
		{"chroma", "mpegts", format{192, 112, 10, synth.S420}},
		{"all", "mpegts", format{160, 96, 8, synth.S420}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "changing."+c.kind)
			both := append(part(t, first, c.kind, 0), part(t, c.second, c.kind, 2)...)
			if err := os.WriteFile(path, both, 0o600); err != nil {
				t.Fatal(err)
			}
			checkChanging(t, path, 20)
		})
	}
}

// checkChanging measures a clip that changes after so many frames.
func checkChanging(t *testing.T, path string, frames int) {
	t.Helper()
	for _, every := range []bool{false, true} {
		clip, err := decode.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer clip.Close()
		set := sceneGrey()
		set.EveryFrame = every
		r := measure(t, clip, asSLog3(t, clip), set)
		if r.Change == nil || r.Change.Frames != frames || r.Lost != 0 || r.Frames != frames {
			t.Errorf("every frame %v: %d frames are measured, %d lost, %v", every, r.Frames, r.Lost, r.Change)
		}
	}
}

// asSLog3 reads a clip of any depth.
func asSLog3(t *testing.T, clip *decode.Clip) metadata.Settled {
	how := settledOf(camera(t, "S-Log3"))
	how.Reading.Bits = clip.Info().Bits
	return how
}

// TestIrregularRealClips measures cut and irregular files as other tools left them: all frames that
// FFmpeg delivers (12, 107, 163, 1 and 6), or as many of them as sampling takes of a sound clip.
func TestIrregularRealClips(t *testing.T) {
	for name, frames := range map[string]int{
		"cut-h264.mkv": 12, "cut-vp8.webm": 107, "split-units-h264.mp4": 163, "still-mpeg2.mpg": 1,
		"broadcast-longgop-422-10bit-1080i-cut.mxf": 6,
	} {
		t.Run(name, func(t *testing.T) {
			clip, err := decode.Open(footage.Path(t, "video/"+name))
			if err != nil {
				t.Fatal(err)
			}
			defer clip.Close()
			r := measure(t, clip, asSLog3(t, clip), sceneGrey())
			if r.Frames != min(frames, 12*8) {
				t.Errorf("%d frames are measured of %d", r.Frames, frames)
			}
			if math.IsNaN(float64(r.Levels.Scene.Average)) {
				t.Error("no scene average")
			}
		})
	}
	t.Run("size-changes-h264.mp4", func(t *testing.T) {
		checkChanging(t, footage.Path(t, "video/size-changes-h264.mp4"), 2)
	})
}
