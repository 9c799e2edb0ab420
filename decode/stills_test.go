package decode

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"testing"
)

func atoi(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestStillSequences compares sequences of pictures with what the ffmpeg program reads of them.
func TestStillSequences(t *testing.T) {
	for _, kind := range []struct {
		name, format, file, codec string
		bits                      int
	}{
		{"dpx 10", "gbrp10be", "shot.%06d.dpx", "dpx", 10},
		{"dpx 12", "gbrp12le", "shot.%06d.dpx", "dpx", 12},
		{"dpx 16", "rgb48be", "shot_%04d.dpx", "dpx", 16},
		{"tiff 16", "rgb48le", "shot%d.tif", "tiff", 16},
		{"tiff 8", "rgb24", "shot.%03d.tiff", "tiff", 8},
		{"tiff gray 16", "gray16le", "shot.%03d.tiff", "tiff", 16},
		{"png 16", "rgb48be", "shot-%04d.png", "png", 16},
	} {
		t.Run(kind.name, func(t *testing.T) {
			pattern := filepath.Join(t.TempDir(), kind.file)
			ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=s=70x46:r=24,"+noise, "-pix_fmt", kind.format, "-frames:v", "16",
				"-start_number", "98", pattern)
			c := mustOpen(t, pattern)
			i := c.Info()
			if i.Container != "image sequence" || i.Codec != kind.codec || i.Bits != kind.bits || i.Frames != 16 ||
				i.Width != 70 || i.Height != 46 || i.LongGOP {
				t.Errorf("%+v", i)
			}
			compareWithFFmpeg(t, pattern, 16, "-start_number", "98", "-i", pattern)
			compareSeeking(t, pattern, soughtSpans)
		})
	}
}

// TestStillNaming says which pictures a path stands for.
func TestStillNaming(t *testing.T) {
	folder := t.TempDir()
	one := ffmpeg(t, "-f", "lavfi", "-i", "color=s=16x16", "-frames:v", "1", "-c:v", "png", "-f", "image2pipe", "-")
	for _, name := range []string{"a.1.png", "a.2.png", "a.4.png", "a.5.png", "b.09.png", "b.10.png", "lone.7.png",
		"x%02d.png", "x%02d.1.png", "x%02d.2.png"} {
		if err := os.WriteFile(filepath.Join(folder, name), one, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		open, path string
		frames     int
	}{
		{"a.1.png", "a.[1-2].png", 2},
		{"a.2.png", "a.2.png", 1},
		{"a.4.png", "a.[4-5].png", 2},
		{"a.%d.png", "a.[1-2].png", 2},
		{"b.%02d.png", "b.[09-10].png", 2},
		{"lone.7.png", "lone.7.png", 1},
		{"x%02d.png", "x%02d.png", 1}, // a file of that name is there
		{"x%02d.1.png", "x%02d.[1-2].png", 2},
	} {
		i := mustOpen(t, filepath.Join(folder, c.open)).Info()
		if i.Frames != c.frames || i.Path != filepath.Join(folder, c.path) {
			t.Errorf("%s opens as %s with %d frames, want %s with %d", c.open, i.Path, i.Frames, c.path, c.frames)
		}
	}
	for _, name := range []string{"a.*.png", "a.?.png", "a.[12].png", "a.%03d.png", "a.%d%d.png", "b.%s.png",
		"c.%d.png", "b.%-2d.png", "a.%99999999999d.png"} {
		if c, err := Open(filepath.Join(folder, name)); err == nil {
			t.Errorf("%s opens as %s", name, c.Info().Path)
		}
	}
}

// TestSequenceWithHole reads past a picture that was overwritten, and one that is gone since
// the folder was listed.
func TestSequenceWithHole(t *testing.T) {
	folder := t.TempDir()
	pattern := filepath.Join(folder, "p%02d.dpx")
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=s=64x48:r=24,"+noise, "-pix_fmt", "gbrp10le", "-frames:v", "8", pattern)
	c := mustOpen(t, pattern)
	if err := os.WriteFile(filepath.Join(folder, "p03.dpx"), []byte("SDPX is all there is"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(folder, "p06.dpx")); err != nil {
		t.Fatal(err)
	}
	seen, err := readDigests(t, c, ReadOptions{})
	if d := damageOf(err); d == nil || d.Frames != 6 || d.Lost != 2 {
		t.Errorf("read %d frames: %v", len(seen), err)
	}
	for _, index := range []int{0, 1, 3, 4, 6, 7} {
		if _, ok := seen[index]; !ok {
			t.Errorf("frame %d did not come", index)
		}
	}
}

func TestSequences(t *testing.T) {
	for _, c := range []struct {
		name      string
		names     []string
		sequences []string
		others    []string
	}{
		{"nothing", nil, nil, nil},
		{"padded", []string{"s.0003.dpx", "s.0001.dpx", "s.0002.dpx"}, []string{"s.[0001-0003].dpx"}, nil},
		{"unpadded over a power of ten", []string{"s9.png", "s10.png", "s11.png"}, []string{"s[9-11].png"}, nil},
		{"padded over its width", []string{"s.99.tif", "s.100.tif"}, []string{"s.[99-100].tif"}, nil},
		{"gap", []string{"s.1.dpx", "s.2.dpx", "s.4.dpx", "s.5.dpx", "s.7.dpx"}, []string{"s.[1-2].dpx", "s.[4-5].dpx"},
			[]string{"s.7.dpx"}},
		{"two widths", []string{"s.01.dpx", "s.02.dpx", "s.1.dpx", "s.2.dpx"}, []string{"s.[01-02].dpx", "s.[1-2].dpx"}, nil},
		{"two kinds", []string{"s.1.dpx", "s.2.tif"}, nil, []string{"s.1.dpx", "s.2.tif"}},
		{"photographs and clips", []string{"A001.mov", "A002.mov", "IMG_1.jpg", "IMG_2.jpg"}, nil,
			[]string{"A001.mov", "A002.mov", "IMG_1.jpg", "IMG_2.jpg"}},
		{"number only", []string{"0001.DPX", "0002.DPX"}, []string{"[0001-0002].DPX"}, nil},
		{"too many digits", []string{"1234567890.dpx", "1234567891.dpx"}, nil, []string{"1234567890.dpx", "1234567891.dpx"}},
		{"no number", []string{"a.dpx", ".dpx", "1"}, nil, []string{".dpx", "1", "a.dpx"}},
	} {
		sequences, others := Sequences(c.names)
		var got []string
		for _, s := range sequences {
			got = append(got, s.String())
		}
		if !slices.Equal(got, c.sequences) || !slices.Equal(others, c.others) {
			t.Errorf("%s: %v and %v, want %v and %v", c.name, got, others, c.sequences, c.others)
		}
	}
}

// FuzzSequences checks that every name ends up in one place, once.
func FuzzSequences(f *testing.F) {
	f.Add("a1.dpx", "a2.dpx", "a02.dpx")
	f.Add("a.999999999.png", "a.1000000000.png", "")
	f.Add("é09.tif", "é10.tif", "%d.tif")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		names := []string{a, b, c}
		slices.Sort(names)
		names = slices.Compact(names)
		sequences, others := Sequences(names)
		for _, s := range sequences {
			if s.Count < 2 {
				t.Errorf("sequence of %d", s.Count)
			}
			for i := range s.Count {
				if s.find(s.Name(i)) != i {
					t.Errorf("%q is not found in %v", s.Name(i), s)
				}
				others = append(others, s.Name(i))
			}
		}
		slices.Sort(others)
		if !reflect.DeepEqual(names, others) {
			t.Errorf("%q became %q", names, others)
		}
	})
}

// TestDPXHeader reads rate and timecode from bytes laid out by hand.
func TestDPXHeader(t *testing.T) {
	for _, c := range []struct {
		rate     float32
		timecode uint32
		num, den int
		text     string
	}{
		{24, 0x01020304, 24, 1, "01:02:03:04"},
		{23.976, 0x23595923, 24000, 1001, "23:59:59:23"},
		{23.98, 0x24000000, 24000, 1001, ""},
		{29.97, 0xffffffff, 30000, 1001, ""},
		{float32(math.NaN()), 0x0000000a, 0, 0, ""},
		{0, 0, 0, 0, "00:00:00:00"},
		{-5, 0x00600000, 0, 0, ""},
		{float32(math.Inf(1)), 0x10101010, 0, 0, "10:10:10:10"},
		{17.3, 0, 0, 0, "00:00:00:00"},
	} {
		for magic, order := range map[string]binary.AppendByteOrder{"SDPX": binary.BigEndian, "XPDS": binary.LittleEndian} {
			head := append([]byte(magic), make([]byte, 1916)...)
			head = order.AppendUint32(head, c.timecode)
			head = append(head, make([]byte, 1940-1924)...)
			head = order.AppendUint32(head, math.Float32bits(c.rate))
			head = append(head, make([]byte, 2048-1944)...)
			path := filepath.Join(t.TempDir(), "a.dpx")
			if err := os.WriteFile(path, head, 0o600); err != nil {
				t.Fatal(err)
			}
			num, den, text := dpxHeader(path)
			if num != c.num || den != c.den || text != c.text {
				t.Errorf("%s %v %#x: %d/%d %q, want %d/%d %q", magic, c.rate, c.timecode, num, den, text, c.num, c.den, c.text)
			}
		}
	}
}
