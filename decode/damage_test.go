package decode

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stopledger/testdata/footage"
)

// write puts bytes into a file of a fresh folder.
func write(t testing.TB, name string, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// cutClips are clips whose index comes first, or that need none, so that they can be read as
// far as they go.
func cutClips(t *testing.T) map[string]string {
	clips := map[string]string{}
	for _, name := range []string{"prores hq", "hevc long", "h264 422 10", "v210"} {
		path := clipNamed(t, name)
		front := filepath.Join(t.TempDir(), filepath.Base(path))
		ffmpeg(t, "-i", path, "-c", "copy", "-movflags", "+faststart", front)
		clips[name] = front
	}
	for _, name := range []string{"h264 open", "h264 transport stream", "dnxhr mxf", "ffv1 16", "late start"} {
		clips[name] = clipNamed(t, name)
	}
	return clips
}

// TestCutClips reads clips that end too early: what comes is the same as in the whole clip, and
// the loss is reported.
func TestCutClips(t *testing.T) {
	for name, path := range cutClips(t) {
		whole, err := readDigests(t, mustOpen(t, path), ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, share := range []float64{0.4, 0.93} {
			t.Run(name, func(t *testing.T) {
				cut := write(t, filepath.Base(path), content[:int(share*float64(len(content)))])
				c := mustOpen(t, cut)
				every, err := readDigests(t, c, ReadOptions{})
				checkCut(t, c, len(whole), share, every, err)
				compareFrames(t, every, whole)
				spans := Groups(c.Info().Frames, 4, 2)
				some, err := readDigests(t, c, ReadOptions{Spans: spans})
				compareFrames(t, some, whole)
				if d := damageOf(err); d != nil && (d.Frames != len(some) ||
					d.Frames+d.Lost != 8) || d == nil && len(some) < 8 && c.counted {
					t.Errorf("sampling gives %d frames of 8: %v", len(some), err)
				}
			})
		}
	}
}

// checkCut checks the report of reading all of a cut clip. A transport stream does not say how
// long it should be.
func checkCut(t *testing.T, c *Clip, frames int, share float64, every map[int]digest, err error) {
	t.Helper()
	if len(every) < int(share*float64(frames))-4 || len(every) >= frames {
		t.Errorf("%d frames of %d came", len(every), frames)
	}
	if c.Info().Container == "mpegts" {
		return
	}
	d := damageOf(err)
	if d == nil || d.Frames != len(every) || d.Frames+d.Lost != frames || !errors.Is(err, ErrDamaged) {
		t.Errorf("%d frames of %d came, and the error is %v", len(every), frames, err)
	}
	if c.Info().Container != "mxf" && !c.Info().Truncated {
		t.Error("not said to be truncated")
	}
}

func compareFrames(t *testing.T, got, want map[int]digest) {
	t.Helper()
	for index, d := range got {
		if d != want[index] {
			t.Errorf("frame %d is another than in the whole clip", index)
		}
	}
}

// TestBadRealClips reads files with known faults; how many of their frames decode is what the
// collection they come from says.
func TestBadRealClips(t *testing.T) {
	for name, frames := range map[string]int{"invalid_nalu.mp4": 29, "mdat_too_long.mp4": 30} {
		seen, err := readDigests(t, mustOpen(t, footage.Path(t, "bad/"+name)), ReadOptions{})
		d := damageOf(err)
		switch {
		case len(seen) != frames:
			t.Errorf("%s: %d frames decode, want %d", name, len(seen), frames)
		case frames == 30 && err != nil:
			t.Errorf("%s: %v", name, err)
		case frames < 30 && (d == nil || d.Frames != frames || d.Lost != 30-frames):
			t.Errorf("%s: error is %v", name, err)
		}
	}
}

// TestNotClips opens files that are no clips: one error each, of the right kind, in one line.
func TestNotClips(t *testing.T) {
	random := make([]byte, 200_000)
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range random {
		random[i] = byte(rng.Uint32())
	}
	folder := t.TempDir()
	sound := filepath.Join(folder, "sound.m4a")
	ffmpeg(t, "-f", "lavfi", "-i", "sine", "-t", "0.2", sound)
	wave := filepath.Join(folder, "sound.wav")
	ffmpeg(t, "-f", "lavfi", "-i", "sine", "-t", "0.2", wave)
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=s=32x32", "-frames:v", "1", "-pix_fmt", "pal8", "-c:v", "png", "-f",
		"image2", filepath.Join(folder, "palette.png"))
	noFrames := filepath.Join(folder, "none.mov")
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc2", "-t", "0", "-c:v", "prores_ks", noFrames)
	movie, err := os.ReadFile(clipNamed(t, "prores hq"))
	if err != nil {
		t.Fatal(err)
	}
	noMoov := write(t, "cut.mov", movie[:bytes.LastIndex(movie, []byte("moov"))-4])
	for _, c := range []struct {
		name, path string
		kind       error
	}{
		{"missing", filepath.Join(folder, "missing.mov"), ErrUnreadable},
		{"folder", folder, ErrUnreadable},
		{"empty", write(t, "a.mov", nil), ErrEmpty},
		{"one byte", write(t, "a.mov", []byte{0}), ErrDamaged},
		{"text", write(t, "a.mov", []byte(strings.Repeat("not a clip\n", 1000))), ErrDamaged},
		{"text by name", write(t, "notes.txt", []byte("not a clip\n")), ErrDamaged},
		{"random", write(t, "a.mov", random), ErrDamaged},
		{"random mxf", write(t, "a.mxf", random), ErrDamaged},
		{"random dpx", write(t, "a.dpx", random), ErrDamaged},
		{"empty dpx", write(t, "a.dpx", nil), ErrEmpty},
		{"sound only", sound, ErrNoVideo},
		{"wave", wave, ErrUnsupported},
		{"no frames", noFrames, nil},
		{"no index", noMoov, ErrDamaged},
		{"palette", filepath.Join(folder, "palette.png"), ErrUnsupported},
		{"two lines in the name", filepath.Join(folder, "a\nb.mov"), ErrUnreadable},
		{"zero byte in the name", "a\x00.mov", ErrUnreadable},
		{"no name", "", ErrUnreadable},
	} {
		t.Run(c.name, func(t *testing.T) {
			clip, err := Open(c.path)
			if err == nil {
				t.Fatalf("opens: %+v", clip.Info())
			}
			t.Log(err)
			var e *ClipError
			if !errors.As(err, &e) || e.Path != c.path || e.What == "" || e.Do == "" || (c.kind != nil &&
				!errors.Is(err, c.kind)) {
				t.Errorf("%#v", err)
			}
			if strings.ContainsAny(err.Error(), "\n\r\x00") {
				t.Errorf("%q is not one line", err)
			}
			for _, kind := range []error{ErrUnreadable, ErrEmpty, ErrNoVideo, ErrDamaged, ErrUnsupported} {
				if c.kind != nil && kind != c.kind && errors.Is(err, kind) {
					t.Errorf("is %v and %v", kind, c.kind)
				}
			}
		})
	}
}

// TestReadStops ends a Read by its visitor and by its context.
func TestReadStops(t *testing.T) {
	c := mustOpen(t, clipNamed(t, "hevc long"))
	enough := errors.New("enough")
	n := 0
	err := c.Read(context.Background(), ReadOptions{}, func(*Frame) error {
		if n++; n == 3 {
			return enough
		}
		return nil
	})
	if err != enough || n != 3 {
		t.Errorf("after %d frames: %v", n, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	n = 0
	err = c.Read(ctx, ReadOptions{}, func(*Frame) error {
		if n++; n == 5 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || n != 5 {
		t.Errorf("after %d frames: %v", n, err)
	}
	if err := c.Read(ctx, ReadOptions{}, func(*Frame) error { t.Error("visited"); return nil }); !errors.Is(err,
		context.Canceled) {
		t.Errorf("ended before it began: %v", err)
	}
}

// TestReadAgainAndAtOnce reads one clip several times, also from several goroutines.
func TestReadAgainAndAtOnce(t *testing.T) {
	c := mustOpen(t, clipNamed(t, "h264 422 10"))
	want, err := readDigests(t, c, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan map[int]digest)
	for i := range 3 {
		go func() {
			got, err := readDigests(t, c, ReadOptions{Threads: i})
			if err != nil {
				t.Error(err)
			}
			done <- got
		}()
	}
	for range 3 {
		compareFrames(t, <-done, want)
	}
}

// TestKeptFrames holds all frames of a clip until after it is closed, and gives them back in
// another order.
func TestKeptFrames(t *testing.T) {
	for _, name := range []string{"prores hq", "h264 full 8", "hevc long"} {
		c := mustOpen(t, clipNamed(t, name))
		want, err := readDigests(t, c, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var kept []*Frame
		if err := c.Read(context.Background(), ReadOptions{}, func(f *Frame) error {
			f.Keep()
			kept = append(kept, f)
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		c.Close()
		got := map[int]digest{}
		slices.Reverse(kept)
		for _, f := range kept {
			got[f.Index] = digestOf(f)
			f.Release()
			if f.Planes[0].Samples != nil {
				t.Error("a released frame still shows samples")
			}
		}
		compareFrames(t, got, want)
	}
}

// TestChromaReleased gives up the chroma of kept frames: luma stays as it was, and so do all planes of a frame that
// another reference needs whole.
func TestChromaReleased(t *testing.T) {
	for _, name := range []string{"prores hq", "h264 full 8", "ffv1 gbr 14", "ffv1 gray 9"} {
		c := mustOpen(t, clipNamed(t, name))
		var kept []*Frame
		var luma [][]uint16
		if err := c.Read(context.Background(), ReadOptions{}, func(f *Frame) error {
			f.Keep()
			f.Keep()
			f.ReleaseChroma()
			kept, luma = append(kept, f), append(luma, slices.Concat(f.Planes[0].Samples))
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		for i, f := range kept {
			chroma := f.Planes[1].Samples
			if f.Layout != Gray && chroma == nil {
				t.Fatalf("%s: another reference has no chroma", name)
			}
			f.ReleaseChroma()
			if name == "prores hq" && f.Planes[1].Samples != nil {
				t.Errorf("%s: chroma that nobody needs is there", name)
			}
			if !slices.Equal(f.Planes[0].Samples, luma[i]) {
				t.Errorf("%s: luma of frame %d changed", name, i)
			}
			f.ReleaseLuma()
			f.ReleaseLuma()
			if f.Planes[0].Samples != nil {
				t.Errorf("%s: a released frame still shows samples", name)
			}
		}
		c.Close()
	}
}

// TestFramesAtHand reads clips of which some frames are not needed: the others come, as they are, and those not needed
// do not where frames are independent.
func TestFramesAtHand(t *testing.T) {
	have := []int{0, 1, 7, 18}
	for name, spared := range map[string]int{"prores hq": 4, "prores interlaced": 3, "dnxhr mxf": 4,
		"hevc intra": 0, "hevc long": 0, "ffv1 16": 0, "ffv1 long": 0} {
		c := mustOpen(t, clipNamed(t, name))
		want, err := readDigests(t, c, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := readDigests(t, c, ReadOptions{Have: have, Chunk: 5})
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if len(want)-len(got) != spared {
			t.Errorf("%s: %d frames of %d came, want %d fewer", name, len(got), len(want), spared)
		}
		compareFrames(t, got, want)
	}
}

// TestGroupNumbers checks Group in both ways of asking.
func TestGroupNumbers(t *testing.T) {
	c := mustOpen(t, clipNamed(t, "prores hq"))
	var groups []int
	note := func(f *Frame) error { groups = append(groups, f.Group); return nil }
	if err := c.Read(context.Background(), ReadOptions{Spans: []Span{{2, 2}, {9, 1}, {20, 3}}}, note); err != nil {
		t.Fatal(err)
	}
	if want := []int{0, 0, 1, 2, 2, 2}; !slices.Equal(groups, want) {
		t.Errorf("groups are %v, want %v", groups, want)
	}
	groups = nil
	if err := c.Read(context.Background(), ReadOptions{Chunk: 13}, note); err != nil {
		t.Fatal(err)
	}
	if groups[0] != 0 || groups[12] != 0 || groups[13] != 1 || groups[29] != 2 {
		t.Errorf("groups are %v", groups)
	}
	for _, spans := range [][]Span{{{3, 2}, {4, 1}}, {{-1, 2}}, {{0, 0}}} {
		if err := c.Read(context.Background(), ReadOptions{Spans: spans}, note); err == nil {
			t.Errorf("%v is read", spans)
		}
	}
}

// TestFFmpegIsSilent reads a cut clip, of which FFmpeg has much to say, in a process of its own.
func TestFFmpegIsSilent(t *testing.T) {
	content, err := os.ReadFile(clipNamed(t, "h264 transport stream"))
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), readOnly+"="+write(t, "cut.ts", content[len(content)/3:len(content)/2]))
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v: %s", err, out)
	}
}

// TestBuffersAreUsedAgain counts the buffers into which 8-bit samples are spread: one visited,
// one waiting, one being filled.
func TestBuffersAreUsedAgain(t *testing.T) {
	c := mustOpen(t, clipNamed(t, "h264 full 8"))
	buffers := map[*uint16]bool{}
	if err := c.Read(context.Background(), ReadOptions{}, func(f *Frame) error {
		buffers[&f.Planes[0].Samples[0]] = true
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	if len(buffers) > 3 {
		t.Errorf("%d buffers for %d frames", len(buffers), c.Info().Frames)
	}
}

// TestReleaseTooOften panics, for that is a mistake in the program.
func TestReleaseTooOften(t *testing.T) {
	f := &Frame{hold: newHold(func() {}, nil)}
	f.Keep()
	f.Release()
	f.Release()
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	f.Release()
}
