package decode

import (
	"context"
	"crypto/sha256"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"unsafe"
)

// A testClip is made by the ffmpeg program when a test first needs it. The picture moves and
// has noise in it, so that no two frames are alike.
type testClip struct {
	name   string
	file   string
	size   string // default 160x96
	frames int    // default 20
	rate   string // default 25
	encode string // arguments
	want   Info   // fields checked by TestProbe; Frames, Width and Height from the above
}

const noise = "noise=alls=30:allf=t"

var testClips = []testClip{
	{name: "hevc intra", file: "hevc-intra.mov",
		encode: "-pix_fmt yuv422p10le -c:v libx265 -x265-params log-level=none:keyint=1:range=limited:" +
			"colorprim=bt2020:transfer=arib-std-b67:colormatrix=bt2020nc",
		want: Info{Container: "mov", Codec: "hevc", Profile: "Rext", Bits: 10, Chroma: "4:2:2", Range: "narrow",
			Matrix: "bt2020", Transfer: "arib-std-b67", Primaries: "bt2020"}},
	{name: "hevc long", file: "hevc-long.mp4", frames: 48,
		encode: "-pix_fmt yuv420p10le -c:v libx265 -x265-params log-level=none:keyint=12:" +
			"min-keyint=12:bframes=3:open-gop=0:scenecut=0",
		want: Info{Container: "mov", Codec: "hevc", Profile: "Main 10", Bits: 10, Chroma: "4:2:0", LongGOP: true,
			Range: "narrow"}},
	{name: "hevc open", file: "hevc-open.mp4", frames: 48,
		encode: "-pix_fmt yuv420p10le -c:v libx265 -x265-params log-level=none:keyint=12:" +
			"min-keyint=12:bframes=4:b-adapt=0:open-gop=1:scenecut=0",
		want: Info{Container: "mov", Codec: "hevc", Profile: "Main 10", Bits: 10, Chroma: "4:2:0", LongGOP: true,
			Range: "narrow"}},
	{name: "h264 422 10", file: "h264-422-10.mp4", frames: 48,
		encode: "-pix_fmt yuv422p10le -c:v libx264 -preset veryfast -g 12 -bf 2 -color_range tv -colorspace bt709",
		want: Info{Container: "mov", Codec: "h264", Profile: "High 4:2:2", Bits: 10, Chroma: "4:2:2", LongGOP: true,
			Range: "narrow", Matrix: "bt709"}},
	{name: "h264 open", file: "h264-open.mkv", frames: 48,
		encode: "-pix_fmt yuv420p10le -c:v libx264 -preset veryfast -x264-params keyint=12:" +
			"min-keyint=12:bframes=3:b-adapt=0:open-gop=1:scenecut=0",
		want: Info{Container: "matroska", Codec: "h264", Profile: "High 10", Bits: 10, Chroma: "4:2:0", LongGOP: true,
			Range: "narrow"}},
	{name: "h264 transport stream", file: "h264.ts", frames: 48, rate: "30000/1001",
		encode: "-pix_fmt yuv420p -c:v libx264 -preset veryfast -g 10 -bf 2",
		want:   Info{Container: "mpegts", Codec: "h264", Profile: "High", Bits: 8, Chroma: "4:2:0", LongGOP: true}},
	{name: "h264 mxf", file: "h264.mxf", frames: 48,
		encode: "-pix_fmt yuv422p10le -c:v libx264 -preset veryfast -g 10 -bf 2",
		want: Info{Container: "mxf", Codec: "h264", Profile: "High 4:2:2", Bits: 10, Chroma: "4:2:2", LongGOP: true,
			Range: "narrow", Timecode: "00:00:00:00"}},
	{name: "mpeg2 mxf", file: "mpeg2.mxf", frames: 48, encode: "-pix_fmt yuv422p -c:v mpeg2video -g 12 -bf 2 -q:v 4",
		want: Info{Container: "mxf", Codec: "mpeg2video", Profile: "4:2:2", Bits: 8, Chroma: "4:2:2", LongGOP: true,
			Range: "narrow", Timecode: "00:00:00:00"}},
	{name: "h264 interlaced", file: "h264-fields.mov", frames: 16, rate: "50",
		encode: "-vf interlace -pix_fmt yuv422p10le -c:v libx264 -preset veryfast -flags +ildct+ilme -bf 0",
		want: Info{Container: "mov", Codec: "h264", Profile: "High 4:2:2", Bits: 10, Chroma: "4:2:2", LongGOP: true,
			Interlaced: true}},
	{name: "h264 full 8", file: "h264-full-8.mp4",
		encode: "-vf scale=out_range=full,format=yuvj420p -c:v libx264 -preset veryfast -g 8 -color_range pc",
		want: Info{Container: "mov", Codec: "h264", Profile: "High", Bits: 8, Chroma: "4:2:0", LongGOP: true,
			Range: "full"}},
	{name: "prores hq", file: "prores-hq.mov", frames: 30, rate: "24000/1001",
		encode: "-pix_fmt yuv422p10le -c:v prores_ks -profile:v hq -timecode 01:02:03:04",
		want: Info{Container: "mov", Codec: "prores", Profile: "HQ", Bits: 10, Chroma: "4:2:2", Range: "narrow",
			Timecode: "01:02:03:04"}},
	{name: "prores 4444", file: "prores-4444.mov",
		encode: "-pix_fmt yuva444p10le -c:v prores_ks -profile:v 4444 -alpha_bits 16",
		want:   Info{Container: "mov", Codec: "prores", Profile: "4444", Bits: 12, Chroma: "4:4:4", Range: "narrow"}},
	{name: "prores interlaced", file: "prores-fields.mov", frames: 16, rate: "50",
		encode: "-vf interlace -pix_fmt yuv422p10le -c:v prores_ks -flags +ildct",
		want: Info{Container: "mov", Codec: "prores", Bits: 10, Chroma: "4:2:2", Range: "narrow", Interlaced: true,
			Profile: "HQ"}},
	{name: "dnxhr mov", file: "dnxhr.mov", size: "256x120", encode: "-pix_fmt yuv422p10le -c:v dnxhd -profile:v dnxhr_hqx",
		want: Info{Container: "mov", Codec: "dnxhd", Profile: "DNXHR HQX", Bits: 10, Chroma: "4:2:2", Range: "narrow",
			Matrix: "bt709"}},
	{name: "dnxhr mxf", file: "dnxhr.mxf", size: "256x120",
		encode: "-pix_fmt yuv422p10le -c:v dnxhd -profile:v dnxhr_hqx -timecode 10:00:00:00",
		want: Info{Container: "mxf", Codec: "dnxhd", Profile: "DNXHR HQX", Bits: 10, Chroma: "4:2:2",
			Timecode: "10:00:00:00", Range: "narrow", Matrix: "bt709"}},
	{name: "ffv1 16", file: "ffv1-16.mkv", encode: "-pix_fmt yuv444p16le -c:v ffv1 -level 3",
		want: Info{Container: "matroska", Codec: "ffv1", Bits: 16, Chroma: "4:4:4", Range: "narrow"}},
	{name: "ffv1 long", file: "ffv1-long.mkv", encode: "-pix_fmt yuv422p12le -c:v ffv1 -level 3 -coder 1 -context 1 -g 8",
		want: Info{Container: "matroska", Codec: "ffv1", Bits: 12, Chroma: "4:2:2", Range: "narrow"}},
	{name: "ffv1 gbr 14", file: "ffv1-gbr14.mkv", encode: "-pix_fmt gbrp14le -c:v ffv1 -level 3",
		want: Info{Container: "matroska", Codec: "ffv1", Bits: 14, Chroma: "RGB", Matrix: "rgb", Range: "full"}},
	{name: "ffv1 gray 9", file: "ffv1-gray.mkv", encode: "-pix_fmt gray9le -c:v ffv1 -level 3",
		want: Info{Container: "matroska", Codec: "ffv1", Bits: 9, Chroma: "gray", Range: "full"}},
	{name: "vp9 10", file: "vp9.webm", frames: 40,
		encode: "-pix_fmt yuv420p10le -c:v libvpx-vp9 -deadline realtime -cpu-used 8 -g 10 -b:v 300k",
		want: Info{Container: "matroska", Codec: "vp9", Profile: "Profile 2", Bits: 10, Chroma: "4:2:0", LongGOP: true,
			Range: "narrow"}},
	{name: "av1 10", file: "av1.mp4", frames: 40, encode: "-pix_fmt yuv420p10le -c:v libsvtav1 -preset 10 -g 10",
		want: Info{Container: "mov", Codec: "av1", Profile: "Main", Bits: 10, Chroma: "4:2:0", LongGOP: true,
			Range: "narrow"}},
	{name: "v210", file: "v210.mov", size: "190x96", encode: "-pix_fmt yuv422p10le -c:v v210",
		want: Info{Container: "mov", Codec: "v210", Bits: 10, Chroma: "4:2:2"}},
	{name: "rgb 8", file: "rgb8.mov", encode: "-pix_fmt rgb24 -c:v png",
		want: Info{Container: "mov", Codec: "png", Bits: 8, Chroma: "RGB", Matrix: "rgb", Range: "full"}},
	{name: "uyvy 8", file: "uyvy.mov", encode: "-pix_fmt uyvy422 -c:v rawvideo",
		want: Info{Container: "mov", Codec: "rawvideo", Bits: 8, Chroma: "4:2:2"}},
	{name: "yuv4mpeg", file: "clip.y4m", encode: "-pix_fmt yuv420p -strict -1 -f yuv4mpegpipe",
		want: Info{Container: "yuv4mpegpipe", Codec: "rawvideo", Bits: 8, Chroma: "4:2:0"}},
	{name: "odd size", file: "odd.mkv", size: "161x97", encode: "-vf scale=161:97 -pix_fmt yuv420p10le -c:v ffv1 -level 3",
		want: Info{Container: "matroska", Codec: "ffv1", Bits: 10, Chroma: "4:2:0", Range: "narrow"}},
	{name: "with sound", file: "sound.mov", frames: 50,
		encode: "-f lavfi -i sine=r=48000 -shortest -pix_fmt yuv422p10le -c:v prores_ks -c:a pcm_s16le",
		want:   Info{Container: "mov", Codec: "prores", Bits: 10, Chroma: "4:2:2", Range: "narrow", Profile: "HQ"}},
	{name: "late start", file: "late.mkv", frames: 48,
		encode: "-pix_fmt yuv420p10le -c:v libx265 -x265-params log-level=none:keyint=12:bframes=3 -output_ts_offset 5",
		want: Info{Container: "matroska", Codec: "hevc", Profile: "Main 10", Bits: 10, Chroma: "4:2:0", LongGOP: true,
			Range: "narrow"}},
}

func (c testClip) withDefaults() testClip {
	if c.size == "" {
		c.size = "160x96"
	}
	if c.frames == 0 {
		c.frames = 20
	}
	if c.rate == "" {
		c.rate = "25"
	}
	return c
}

var (
	clipFolder string
	clipsMade  sync.Map // file -> *sync.Once
)

func TestMain(m *testing.M) {
	if path := os.Getenv(readOnly); path != "" {
		if c, err := Open(path); err == nil {
			c.Read(context.Background(), ReadOptions{}, func(*Frame) error { return nil })
		}
		os.Exit(0)
	}
	folder, err := os.MkdirTemp("", "decode-clips")
	if err != nil {
		panic(err)
	}
	clipFolder = folder
	code := m.Run()
	os.RemoveAll(folder)
	os.Exit(code)
}

// readOnly makes the test program read one clip and end, for TestFFmpegIsSilent.
const readOnly = "STOPLEDGER_TEST_READ"

// make encodes the clip once and returns its path.
func (c testClip) make(t testing.TB) string {
	t.Helper()
	c = c.withDefaults()
	path := filepath.Join(clipFolder, c.file)
	once, _ := clipsMade.LoadOrStore(c.file, &sync.Once{})
	once.(*sync.Once).Do(func() {
		source := "testsrc2=s=" + c.size + ":r=" + c.rate + "," + noise
		args := append([]string{"-f", "lavfi", "-i", source}, strings.Fields(c.encode)...)
		ffmpeg(t, append(args, "-frames:v", strconv.Itoa(c.frames), "-y", path)...)
	})
	return path
}

// clipNamed returns the path of a clip of the table.
func clipNamed(t testing.TB, name string) string {
	t.Helper()
	for _, c := range testClips {
		if c.name == name {
			return c.make(t)
		}
	}
	t.Fatalf("no test clip is called %q", name)
	return ""
}

// ffmpeg runs the ffmpeg program and returns what it writes to stdout.
func ffmpeg(t testing.TB, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("the ffmpeg program is not installed")
	}
	cmd := exec.Command("ffmpeg", append([]string{"-v", "error", "-nostdin"}, args...)...)
	var complaint strings.Builder
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffmpeg %s: %v\n%s", strings.Join(args, " "), err, complaint.String())
	}
	return out
}

// mustOpen opens a clip that is sound, and closes it at the test's end.
func mustOpen(t testing.TB, path string) *Clip {
	t.Helper()
	c, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

type digest = [sha256.Size]byte

// readDigests reads frames and returns a digest of each by its index.
func readDigests(t testing.TB, c *Clip, opt ReadOptions) (map[int]digest, error) {
	t.Helper()
	seen := map[int]digest{}
	last := -1
	err := c.Read(context.Background(), opt, func(f *Frame) error {
		if f.Index <= last {
			t.Errorf("frame %d came after frame %d", f.Index, last)
		}
		last = f.Index
		seen[f.Index] = digestOf(f)
		return nil
	})
	return seen, err
}

func digestOf(f *Frame) digest {
	h := sha256.New()
	for _, p := range f.Planes {
		for y := range p.Height {
			row := p.Row(y)
			h.Write(unsafe.Slice((*byte)(unsafe.Pointer(&row[0])), 2*len(row)))
		}
	}
	return digest(h.Sum(nil))
}

// rawBytes writes a frame as FFmpeg's rawvideo does: planes in the order of FFmpeg's formats
// (G, B, R for RGB), without padding, one byte a sample where narrow.
func rawBytes(f *Frame, narrow bool) []byte {
	planes := f.Planes[:]
	switch f.Layout {
	case RGB:
		planes = []Plane{f.Planes[1], f.Planes[2], f.Planes[0]}
	case Gray:
		planes = planes[:1]
	}
	var raw []byte
	for _, p := range planes {
		for y := range p.Height {
			row := p.Row(y)
			if !narrow { // the machine is little-endian, as the format compared with
				raw = append(raw, unsafe.Slice((*byte)(unsafe.Pointer(&row[0])), 2*len(row))...)
				continue
			}
			for _, v := range row {
				raw = append(raw, byte(v))
			}
		}
	}
	return raw
}

// damageOf returns the *Damage in err, nil if there is none.
func damageOf(err error) *Damage {
	var d *Damage
	errors.As(err, &d)
	return d
}
