package decode

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/testdata/footage"
)

// TestInfo checks what Open says of clips whose making is known.
func TestInfo(t *testing.T) {
	for _, clip := range testClips {
		t.Run(clip.name, func(t *testing.T) {
			path := clip.make(t)
			clip := clip.withDefaults()
			got := mustOpen(t, path).Info()
			want := clip.want
			want.Path, want.Bytes = path, fileBytes(path)
			want.Frames = clip.frames
			size := strings.Split(clip.size, "x")
			want.Width, want.Height = atoi(t, size[0]), atoi(t, size[1])
			want.RateNum, want.RateDen = 25, 1
			if num, den, ok := strings.Cut(clip.rate, "/"); ok {
				want.RateNum, want.RateDen = atoi(t, num), atoi(t, den)
			}
			want.DurationS = got.DurationS
			if math.Abs(got.DurationS*got.FrameRate()-float64(clip.frames)) > 1 {
				t.Errorf("lasts %v s", got.DurationS)
			}
			want.RawBits, want.Layout = want.Bits, got.Layout
			if isRGB := got.Layout == RGB; isRGB != (got.Chroma == "RGB") {
				t.Errorf("chroma %s with layout %v", got.Chroma, got.Layout)
			}
			want.PixelFormat, want.Tags = got.PixelFormat, got.Tags
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

// TestInfoWithoutDecodingTwice: what is found out of a clip without FFmpeg's decoding a frame for itself is what it
// would find out, also where the first frame cannot be decoded.
func TestInfoWithoutDecodingTwice(t *testing.T) {
	guessed, failed := 0, 0
	check := func(path string) {
		t.Helper()
		infos := [2]Info{}
		for i, guess := range []bool{true, false} {
			c := &Clip{path: path}
			err := c.openAndProbe(guess)
			if guess && c.input.source.(*containerSource).guessed {
				guessed++
				if errors.Is(err, errGuessed) {
					failed++
				}
				c.Close()
				c = mustOpen(t, path) // again without, where the first frame does not tell
			} else if err != nil {
				t.Fatal(err)
			}
			infos[i] = c.Info()
			c.Close()
		}
		if diff := cmp.Diff(infos[1], infos[0]); diff != "" {
			t.Errorf("%s: -decoded +guessed:\n%s", filepath.Base(path), diff)
		}
	}
	for _, clip := range testClips {
		path := clip.make(t)
		check(path)
		source, err := openContainer(path, false)
		if err != nil {
			t.Fatal(err)
		}
		if index := source.index; len(index) > 1 && slices.Contains(independent, source.parameters().CodecID().Name()) {
			broken, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			clear(broken[index[0].pos:index[0].end])
			check(write(t, "broken"+filepath.Ext(path), broken))
		}
		source.close()
	}
	if guessed < 6 || failed < 3 {
		t.Errorf("only %d clips were opened by a guess, and only of %d the first frame was no use", guessed, failed)
	}
}

// TestInfoOfRealClips checks against what is known of files made by cameras and others; the
// numbers of frames are those FFmpeg's ffprobe -count_frames displays.
func TestInfoOfRealClips(t *testing.T) {
	for name, want := range map[string]Info{
		"phone-rooftops-hlg-hevc10-editlist.mp4": {Container: "mov", Codec: "hevc", Profile: "Main 10", Bits: 10,
			Width: 1920, Height: 1080,
			Frames: 77, RotationDeg: 90, Range: "narrow", Matrix: "bt2020",
			Transfer: "arib-std-b67", Primaries: "bt2020", LongGOP: true},
		"rooftops-pq-hevc10.mp4": {Container: "mov", Codec: "hevc", Profile: "Main 10", Bits: 10, Width: 1920, Height: 1080,
			Frames: 28, Range: "narrow", Matrix: "bt2020", Transfer: "smpte2084", Primaries: "bt2020", LongGOP: true},
		"phone-rooftops-hlg-cut.mov": {Container: "mov", Codec: "hevc", Profile: "Main 10", Bits: 10,
			Width: 1920, Height: 1080,
			Frames: 15, RotationDeg: 90, Range: "narrow", Matrix: "bt2020", Transfer: "arib-std-b67",
			Primaries: "bt2020", LongGOP: true},
		"rooftops-pq-cut.mp4": {Container: "mov", Codec: "hevc", Profile: "Main 10", Bits: 10,
			Width: 1920, Height: 1080,
			Frames: 10, Range: "narrow", Matrix: "bt2020", Transfer: "smpte2084",
			Primaries: "bt2020", LongGOP: true},
		"roadtrip-vp9-10bit.webm": {Container: "matroska", Codec: "vp9", Profile: "Profile 2", Bits: 10, Width: 426,
			Height: 240,
			Frames: 72, Range: "narrow", Matrix: "bt2020", LongGOP: true},
	} {
		t.Run(name, func(t *testing.T) {
			i := mustOpen(t, footage.Path(t, "video/"+name)).Info()
			got := Info{Container: i.Container, Codec: i.Codec, Profile: i.Profile, Bits: i.Bits, Width: i.Width,
				Height: i.Height,
				Frames: i.Frames, RotationDeg: i.RotationDeg, Range: i.Range, Matrix: i.Matrix,
				Transfer: i.Transfer, Primaries: i.Primaries, LongGOP: i.LongGOP}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

// TestRotation turns the luma of a clip's first frame by what Info says, and compares it with what
// the ffmpeg program shows, which turns by itself.
func TestRotation(t *testing.T) {
	path := clipNamed(t, "h264 full 8")
	for _, mark := range []string{"90", "180", "270"} {
		turned := filepath.Join(t.TempDir(), "turned.mp4")
		if libraryMajor < 60 {
			ffmpeg(t, "-i", path, "-c", "copy", "-metadata:s:v", "rotate="+mark, turned)
		} else {
			ffmpeg(t, "-display_rotation", mark, "-i", path, "-c", "copy", turned)
		}
		shown := ffmpeg(t, "-i", turned, "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "yuvj420p", "-")
		c := mustOpen(t, turned)
		if c.Info().RotationDeg == 0 {
			t.Errorf("mark %s is not seen", mark)
		}
		if err := c.Read(context.Background(), ReadOptions{Spans: []Span{{0, 1}}}, func(f *Frame) error {
			luma := turn(f.Planes[0], c.Info().RotationDeg)
			if !bytes.Equal(luma, shown[:len(luma)]) {
				t.Errorf("turned by %d degrees, the picture is not as ffmpeg shows it", c.Info().RotationDeg)
			}
			return nil
		}); err != nil {
			t.Error(err)
		}
	}
}

// turn rotates an 8-bit plane clockwise, in steps of 90 degrees.
func turn(p Plane, degrees int) (out []byte) {
	width, height := p.Width, p.Height
	if degrees%180 != 0 {
		width, height = height, width
	}
	for y := range height {
		for x := range width {
			from := map[int][2]int{0: {x, y}, 90: {y, width - 1 - x}, 180: {width - 1 - x, height - 1 - y},
				270: {height - 1 - y, x}}[degrees]
			out = append(out, byte(p.Row(from[1])[from[0]]))
		}
	}
	return out
}
