package encode

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"stopledger/decode"
)

// written writes frames to a clip and returns its path.
func written(t *testing.T, name, container string, s Settings, frames ...*decode.Frame) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	c, err := NewClip(path, container, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range frames {
		if err := c.Add(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.Finish(); err != nil {
		t.Fatal(err)
	}
	return path
}

// samplesOf are the samples of planes as FFmpeg stores them: bytes at 8 bits, else little-endian pairs.
func samplesOf(f *decode.Frame, order ...int) []byte {
	all := words(f, order...)
	if f.Bits > 8 {
		return all
	}
	var out []byte
	for i := 0; i < len(all); i += 2 {
		out = append(out, all[i])
	}
	return out
}

// The command reads back every sample of every layout and depth that a lossless codec holds, at odd sizes too.
func TestEveryFormat(t *testing.T) {
	for _, c := range []struct {
		format     string
		layout     decode.Layout
		bits, x, y int // depth, luma samples to one of chroma
		order      []int
	}{
		{"yuv420p", decode.YCbCr, 8, 2, 2, []int{0, 1, 2}}, {"yuv422p", decode.YCbCr, 8, 2, 1, []int{0, 1, 2}},
		{"yuv444p", decode.YCbCr, 8, 1, 1, []int{0, 1, 2}}, {"yuv420p10le", decode.YCbCr, 10, 2, 2, []int{0, 1, 2}},
		{"yuv422p10le", decode.YCbCr, 10, 2, 1, []int{0, 1, 2}}, {"yuv444p10le", decode.YCbCr, 10, 1, 1, []int{0, 1, 2}},
		{"yuv422p12le", decode.YCbCr, 12, 2, 1, []int{0, 1, 2}}, {"yuv444p16le", decode.YCbCr, 16, 1, 1, []int{0, 1, 2}},
		{"gray", decode.Gray, 8, 1, 1, []int{0}}, {"gray10le", decode.Gray, 10, 1, 1, []int{0}},
		{"gbrp10le", decode.RGB, 10, 1, 1, []int{1, 2, 0}}, {"gbrp12le", decode.RGB, 12, 1, 1, []int{1, 2, 0}},
	} {
		for _, size := range [][2]int{{32, 20}, {33, 21}} {
			t.Run(fmt.Sprint(c.format, size), func(t *testing.T) {
				chroma := [2]int{(size[0] + c.x - 1) / c.x, (size[1] + c.y - 1) / c.y}
				sizes := [][2]int{size, chroma, chroma}[:len(c.order)]
				var frames []*decode.Frame
				var want []byte
				for i := range 2 {
					f := frameOf(c.layout, c.bits, i, sizes...)
					frames, want = append(frames, f), append(want, samplesOf(f, c.order...)...)
				}
				s := Settings{Encoder: "ffv1", Options: map[string]string{"level": "3"}, PixelFormat: c.format,
					Width: size[0], Height: size[1], RateNum: 25, RateDen: 1}
				got := read(t, written(t, "a.mkv", "matroska", s, frames...), c.format)
				if !bytes.Equal(got, want) {
					t.Errorf("%d bytes come back of %d, or they differ", len(got), len(want))
				}
			})
		}
	}
}

// probed is what the ffprobe command tells of a file.
type probed struct {
	Streams []struct {
		Codec_name, R_frame_rate, Sample_aspect_ratio string
		Width, Height                                 int
		Nb_read_packets                               string
		Tags                                          map[string]string
	}
	Format struct{ Tags map[string]string }
}

func probe(t *testing.T, path string) (p probed) {
	t.Helper()
	if _, err := exec.LookPath("ffprobe"); err != nil {
		t.Skip("no ffprobe command on this system")
	}
	out, err := exec.Command("ffprobe", "-v", "error", "-count_packets", "-show_streams", "-show_format", "-of", "json",
		path).Output()
	if err == nil {
		err = json.Unmarshal(out, &p)
	}
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The command tells the rate, the size and the number of frames that a clip was given.
func TestRateAndLength(t *testing.T) {
	for _, c := range []struct {
		container, name string
		num, den        int
	}{{"matroska", "a.mkv", 24000, 1001}, {"matroska", "a.mkv", 25, 1}, {"mov", "a.mov", 30000, 1001},
		{"mov", "a.mov", 50, 1}} {
		s := ffv1()
		s.RateNum, s.RateDen = c.num, c.den
		p := probe(t, written(t, c.name, c.container, s, yuv(0), yuv(1), yuv(2), yuv(3), yuv(4), yuv(5)))
		v := p.Streams[0]
		if want := fmt.Sprintf("%d/%d", c.num, c.den); v.R_frame_rate != want || v.Codec_name != "ffv1" || v.Width != 64 ||
			v.Height != 36 || v.Nb_read_packets != "6" || v.Sample_aspect_ratio != "1:1" && v.Sample_aspect_ratio != "" {
			t.Errorf("%s at %s: %+v", c.container, want, v)
		}
	}
}

// The command reads metadata under any key and the timecode of the first frame.
func TestMetadataAndTimecode(t *testing.T) {
	for name, container := range map[string]string{"a.mov": "mov", "a.mp4": "mp4"} {
		s := ffv1()
		s.Encoder, s.Options, s.RateNum, s.RateDen = "mpeg4", nil, 25, 1
		s.PixelFormat = "yuv420p"
		s.Timecode = "10:20:30:05"
		s.Metadata = map[string]string{"com.example.gamma": "S-Log3", "com.example.note": "18 % grey, \u00b5"}
		f := frameOf(decode.YCbCr, 8, 0, [2]int{64, 36}, [2]int{32, 18}, [2]int{32, 18})
		p := probe(t, written(t, name, container, s, f))
		for key, want := range s.Metadata {
			if got := p.Format.Tags[key]; got != want {
				t.Errorf("%s: %s is %q, want %q", container, key, got, want)
			}
		}
		timecode := ""
		for _, one := range p.Streams {
			if one.Tags["timecode"] != "" {
				timecode = one.Tags["timecode"]
			}
		}
		if timecode != s.Timecode {
			t.Errorf("%s: timecode %q, want %q", container, timecode, s.Timecode)
		}
	}
}

// A file that was there is replaced when the new one is complete, and not before.
func TestOldFileStandsUntilFinish(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.mkv")
	if err := os.WriteFile(path, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, finish := range []bool{false, true} {
		c, err := NewClip(path, "matroska", ffv1())
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Add(yuv(0)); err != nil {
			t.Fatal(err)
		}
		if old, _ := os.ReadFile(path); string(old) != "old" {
			t.Error("the old file is gone before the new one is complete")
		}
		if !finish {
			c.Abandon()
			continue
		}
		if err := c.Finish(); err != nil {
			t.Fatal(err)
		}
	}
	if now, _ := os.ReadFile(path); len(now) < 1000 || string(now[1:4]) == "old" {
		t.Errorf("%d bytes after it is complete", len(now))
	}
	if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
}

// Samples are written as bytes or as pairs, low byte first, step samples apart; nothing between is touched.
func TestPutSamples(t *testing.T) {
	for _, c := range []struct {
		bits, step int
		want       []byte
	}{
		{8, 1, []byte{1, 254, 7, 9}}, {8, 2, []byte{1, 9, 254, 9, 7, 9}},
		{10, 1, []byte{1, 0, 254, 3, 7, 2}}, {16, 2, []byte{1, 0, 9, 9, 254, 3, 9, 9, 7, 2}},
	} {
		row := []uint16{1, 0x3FE, 0x207}
		if c.bits == 8 {
			row = []uint16{1, 254, 7}
		}
		got := bytes.Repeat([]byte{9}, len(c.want))
		putSamples(got, row, c.bits, c.step)
		if !bytes.Equal(got, c.want) {
			t.Errorf("%d bits, step %d: %v, want %v", c.bits, c.step, got, c.want)
		}
	}
}
