package encode

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode"
)

// frameOf is a frame of planes, all samples different from their neighbours.
func frameOf(layout decode.Layout, bits int, index int, sizes ...[2]int) *decode.Frame {
	f := &decode.Frame{Layout: layout, Bits: bits, Index: index}
	for i, size := range sizes {
		samples := make([]uint16, size[0]*size[1])
		for k := range samples {
			samples[k] = uint16((k*7+i*101+index*13+64)%(1<<bits-128)) + 64
		}
		f.Planes[i] = decode.Plane{Samples: samples, Stride: size[0], Width: size[0], Height: size[1]}
	}
	return f
}

// ffv1 are settings of a lossless 10-bit 4:2:2 clip.
func ffv1() Settings {
	return Settings{Encoder: "ffv1", Options: map[string]string{"level": "3"}, PixelFormat: "yuv422p10le",
		Width: 64, Height: 36, RateNum: 24000, RateDen: 1001}
}

func yuv(index int) *decode.Frame {
	return frameOf(decode.YCbCr, 10, index, [2]int{64, 36}, [2]int{32, 36}, [2]int{32, 36})
}

// read runs the system's ffmpeg over a file and returns its frames as they are.
func read(t *testing.T, path, format string, args ...string) []byte {
	t.Helper()
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("no ffmpeg command on this system")
	}
	all := append([]string{"-v", "error"}, args...)
	out, err := exec.Command(ffmpeg, append(all, "-i", path, "-f", "rawvideo", "-pix_fmt", format, "-")...).Output()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// words are the samples of planes in an order, little endian.
func words(f *decode.Frame, order ...int) []byte {
	var out []byte
	for _, i := range order {
		for _, v := range f.Planes[i].Samples {
			out = binary.LittleEndian.AppendUint16(out, v)
		}
	}
	return out
}

// The command reads back every sample of every frame, in the order in which they were added.
func TestClipHoldsItsFrames(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.mkv")
	c, err := NewClip(path, "matroska", ffv1())
	if err != nil {
		t.Fatal(err)
	}
	var want []byte
	for i := range 5 {
		f := yuv(i)
		want = append(want, words(f, 0, 1, 2)...)
		if err := c.Add(f); err != nil {
			t.Fatal(err)
		}
		if _, err := os.Stat(path); err == nil {
			t.Error("the file has its name before it is complete")
		}
	}
	if err := c.Finish(); err != nil {
		t.Fatal(err)
	}
	if got := read(t, path, "yuv422p10le"); !bytes.Equal(got, want) {
		t.Errorf("%d bytes come back, %d were written, or they differ", len(got), len(want))
	}
}

// Planes with padding between their rows give the same file.
func TestPaddingIsNotWritten(t *testing.T) {
	var files [2][]byte
	for i, padded := range []bool{false, true} {
		f := yuv(0)
		if padded {
			for k, p := range f.Planes {
				wide := decode.Plane{Stride: p.Width + 5, Width: p.Width, Height: p.Height}
				for y := range p.Height {
					wide.Samples = append(wide.Samples, p.Row(y)...)
					wide.Samples = append(wide.Samples, 1023, 1023, 1023, 1023, 1023) // the top code, if it is read
				}
				f.Planes[k] = wide
			}
		}
		path := filepath.Join(t.TempDir(), "a.mkv")
		c, err := NewClip(path, "matroska", ffv1())
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Add(f); err != nil {
			t.Fatal(err)
		}
		if err := c.Finish(); err != nil {
			t.Fatal(err)
		}
		files[i] = read(t, path, "yuv422p10le")
	}
	if !bytes.Equal(files[0], files[1]) {
		t.Error("padding changes the picture")
	}
}

// R', G', B' stand in a planar file as G, B, R and in a packed one in turn: the command gives both
// back as they were.
func TestOrdersOfRGB(t *testing.T) {
	for _, c := range []struct {
		name, pattern, encoder, format string
		bits                           int
		packed                         bool
	}{
		{"planar", "a_%02d.dpx", "dpx", "gbrp10le", 10, false},
		{"packed", "a_%02d.dpx", "dpx", "rgb48le", 16, true},
		{"packed", "a_%02d.tif", "tiff", "rgb48le", 16, true},
	} {
		pattern := filepath.Join(t.TempDir(), c.pattern)
		s, err := NewSequence(pattern, Settings{Encoder: c.encoder, PixelFormat: c.format, Packed: c.packed,
			Width: 30, Height: 20, RateNum: 25, RateDen: 1})
		if err != nil {
			t.Fatal(err)
		}
		size := [2]int{30, 20}
		var want []byte
		for i := range 3 {
			f := frameOf(decode.RGB, c.bits, i, size, size, size)
			want = append(want, words(f, 1, 2, 0)...)
			if err := s.Add(f); err != nil {
				t.Fatal(err)
			}
		}
		if err := s.Finish(); err != nil {
			t.Fatal(err)
		}
		format := map[int]string{10: "gbrp10le", 16: "gbrp16le"}[c.bits]
		if got := read(t, pattern, format, "-start_number", "0"); !bytes.Equal(got, want) {
			t.Errorf("%s %s: the samples that come back differ", c.encoder, c.name)
		}
	}
}

// What is abandoned leaves nothing behind.
func TestAbandon(t *testing.T) {
	dir := t.TempDir()
	c, err := NewClip(filepath.Join(dir, "a.mkv"), "matroska", ffv1())
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Add(yuv(0)); err != nil {
		t.Fatal(err)
	}
	c.Abandon()
	s, err := NewSequence(filepath.Join(dir, "a_%02d.dpx"), Settings{Encoder: "dpx", PixelFormat: "gbrp10le",
		Width: 30, Height: 20, RateNum: 25, RateDen: 1})
	if err != nil {
		t.Fatal(err)
	}
	size := [2]int{30, 20}
	if err := s.Add(frameOf(decode.RGB, 10, 0, size, size, size)); err != nil {
		t.Fatal(err)
	}
	if left, _ := os.ReadDir(dir); len(left) != 1 {
		t.Errorf("%d files after a picture of a sequence", len(left))
	}
	s.Abandon()
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Settings that FFmpeg does not take are errors that say which.
func TestSettingsThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Settings)
		says   string
	}{
		{"an encoder that is not there", func(s *Settings) { s.Encoder = "film" }, "no encoder film"},
		{"a format the codec does not hold", func(s *Settings) { s.PixelFormat = "pal8" }, "ffv1 cannot hold pal8"},
		{"no size", func(s *Settings) { s.Width = 0 }, "opening encoder ffv1"},
	} {
		dir := t.TempDir()
		settings := ffv1()
		c.change(&settings)
		_, err := NewClip(filepath.Join(dir, "a.mkv"), "matroska", settings)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one with %q", c.name, err, c.says)
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%s: left behind %v", c.name, left)
		}
	}
	if _, err := NewClip("a.film", "film", ffv1()); err == nil || !strings.Contains(err.Error(), "container film") {
		t.Errorf("a container that is not there: %v", err)
	}
	if _, err := NewSequence("a_%d.dpx", Settings{Encoder: "film"}); err == nil {
		t.Error("a sequence of an encoder that is not there")
	}
	s, err := NewSequence(filepath.Join(t.TempDir(), "no/such/folder/a_%d.dpx"), Settings{Encoder: "dpx",
		PixelFormat: "gbrp10le", Width: 30, Height: 20, RateNum: 25, RateDen: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Abandon()
	size := [2]int{30, 20}
	if err := s.Add(frameOf(decode.RGB, 10, 0, size, size, size)); err == nil {
		t.Error("a picture is written into a folder that is not there")
	}
}
