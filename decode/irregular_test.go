package decode

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/asticode/go-astiav"

	"stopledger/testdata/footage"
)

// soundFrames counts the frames of a file that the ffmpeg program delivers, leaving out those that
// it marks as corrupt.
func soundFrames(t *testing.T, path string) int {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("the ffmpeg program is not installed")
	}
	// What it returns tells of errors on the way, not of the frames it delivers.
	list, _ := exec.Command("ffmpeg", "-v", "quiet", "-nostdin", "-flags", "-output_corrupt", "-i", path,
		"-map", "0:v:0", "-fps_mode", "passthrough", "-f", "framecrc", "-").Output()
	n := 0
	for line := range strings.Lines(string(list)) {
		if !strings.HasPrefix(line, "#") {
			n++
		}
	}
	return n
}

// TestIrregularRealClips reads cut and irregular files as other tools and cameras left them: the
// frames are FFmpeg's, every one, and after a new count they are found by spans too.
func TestIrregularRealClips(t *testing.T) {
	for name, frames := range map[string]int{ // as the collection's list has them
		"cut-h264.mkv": 12, "cut-vp8.webm": 107, "split-units-h264.mp4": 163, "still-mpeg2.mpg": 1,
		"broadcast-longgop-422-10bit-1080i-cut.mxf": 6,
	} {
		t.Run(name, func(t *testing.T) {
			path := footage.Path(t, "video/"+name)
			if n := soundFrames(t, path); n != frames {
				t.Fatalf("ffmpeg delivers %d frames, want %d", n, frames)
			}
			checkRecount(t, path, frames)
		})
	}
}

// checkRecount counts a file's frames, and reads all and some of them.
func checkRecount(t *testing.T, path string, frames int) {
	t.Helper()
	c := mustOpen(t, path)
	if err := c.Recount(context.Background()); err != nil && damageOf(err) == nil {
		t.Fatal(err)
	}
	every, err := readDigests(t, c, ReadOptions{})
	if c.Info().Frames != frames || len(every) != frames || err != nil && damageOf(err) == nil {
		t.Errorf("%d frames are counted and %d read, want %d: %v", c.Info().Frames, len(every), frames, err)
	}
	spans := Groups(frames, 4, 2)
	some, err := readDigests(t, c, ReadOptions{Spans: spans})
	if len(some) != min(frames, 8) || err != nil {
		t.Errorf("sampling gives %d frames: %v", len(some), err)
	}
	compareFrames(t, some, every)
}

// TestIrregularClips reads files without index, times or a sound start: as many frames as FFmpeg.
func TestIrregularClips(t *testing.T) {
	folder := t.TempDir()
	name := func(base string) string { return filepath.Join(folder, base) }
	open, long := clipNamed(t, "h264 open"), clipNamed(t, "hevc long")
	ffmpeg(t, "-i", open, "-c", "copy", "-bsf:v", "h264_mp4toannexb,dump_extra", name("bare.h264"))
	ffmpeg(t, "-i", long, "-c", "copy", name("bare.hevc"))
	ffmpeg(t, "-i", open, "-c", "copy", "-live", "1", name("live.mkv"))
	ffmpeg(t, "-i", long, "-c", "copy", "-movflags", "frag_keyframe+empty_moov", name("pieces.mp4"))
	ffmpeg(t, "-itsoffset", "-3", "-i", open, "-c", "copy", "-avoid_negative_ts", "disabled", name("early.mkv"))
	ffmpeg(t, "-ss", "0.7", "-i", long, "-c", "copy", name("edited.mp4"))
	ffmpeg(t, "-i", open, "-c", "copy", "-bsf:v", "setts=ts=if(eq(mod(N\\,7)\\,3)\\,TS+9\\,TS)", name("odd.mkv"))
	ffmpeg(t, "-i", open, "-c", "copy", "-bsf:v", "h264_mp4toannexb,dump_extra", name("whole.ts"))
	for base, share := range map[string]float64{"bare.h264": 0.3, "bare.hevc": 0.3, "whole.ts": 0.35} {
		content, err := os.ReadFile(name(base))
		if err != nil {
			t.Fatal(err)
		}
		from := int(share * float64(len(content)))
		if err := os.WriteFile(name("headless-"+base), content[from:], 0o600); err != nil {
			t.Fatal(err)
		}
	}
	files, err := os.ReadDir(folder)
	if err != nil || len(files) != 11 {
		t.Fatal(err, len(files))
	}
	for _, f := range files {
		t.Run(f.Name(), func(t *testing.T) {
			checkRecount(t, name(f.Name()), soundFrames(t, name(f.Name())))
		})
	}
}

// changing joins two clips of 20 frames, one after the other, as an elementary stream and as a transport
// stream.
func changing(t *testing.T, formats ...string) (paths []string) {
	t.Helper()
	kinds := []string{"h264", "mpegts"}
	parts, all := make([]string, len(kinds)), make([][]byte, len(kinds))
	for k, kind := range kinds {
		parts[k] = filepath.Join(t.TempDir(), "part."+kind)
	}
	for i, f := range formats {
		size, pixels, _ := strings.Cut(f, " ")
		args := []string{"-f", "lavfi", "-i", "testsrc2=r=25:s=" + size}
		for k, kind := range kinds {
			args = append(args, "-frames:v", "20", "-pix_fmt", pixels,
				"-c:v", "libx264", "-preset", "veryfast", "-g", "10", "-bf", "2", "-output_ts_offset",
				fmt.Sprint(0.88*float64(i)), "-mpegts_flags", "initial_discontinuity", "-f", kind, "-y", parts[k])
		}
		ffmpeg(t, args...)
		for k := range kinds {
			content, err := os.ReadFile(parts[k])
			if err != nil {
				t.Fatal(err)
			}
			all[k] = append(all[k], content...)
		}
	}
	for k, kind := range kinds {
		paths = append(paths, write(t, "changing."+kind, all[k]))
	}
	return paths
}

// TestFormatChange reads clips whose picture changes after frame 20, from their start and by spans.
func TestFormatChange(t *testing.T) {
	for _, c := range []struct{ name, first, second, from, to string }{
		{"size", "160x96 yuv420p10le", "320x192 yuv420p10le", "160 x 96", "320 x 192"},
		{"smaller", "320x192 yuv420p", "160x96 yuv420p", "320 x 192", "160 x 96"},
		{"depth", "160x96 yuv420p10le", "160x96 yuv420p", "10 bit", "8 bit"},
		{"more depth", "160x96 yuv420p", "160x96 yuv420p10le", "8 bit", "10 bit"},
		{"chroma", "160x96 yuv422p10le", "160x96 yuv420p10le", "4:2:2", "4:2:0"},
		{"all", "160x96 yuv422p10le", "176x144 yuv420p", "160 x 96, 10 bit, 4:2:2", "176 x 144, 8 bit, 4:2:0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, path := range changing(t, c.first, c.second) {
				for _, spans := range [][]Span{nil, Groups(40, 6, 2), {{First: 16, Count: 8}}, {{First: 30, Count: 4}}} {
					checkChange(t, path, spans, c.from, c.to)
				}
			}
		})
	}
}

// checkChange reads a clip that changes after frame 20: frames up to there come, and are alike.
func checkChange(t *testing.T, path string, spans []Span, from, to string) {
	t.Helper()
	c := mustOpen(t, path)
	last, info := -1, c.Info()
	err := c.Read(context.Background(), ReadOptions{Spans: spans}, func(f *Frame) error {
		last = f.Index
		if f.Planes[0].Width != info.Width || f.Planes[0].Height != info.Height || f.Bits != info.Bits {
			t.Errorf("frame %d is of %d x %d, %d bit", f.Index, f.Planes[0].Width, f.Planes[0].Height, f.Bits)
		}
		return nil
	})
	var change *FormatChange
	if !errors.As(err, &change) || change.Path != path || change.From != from || change.To != to ||
		change.Frames < 20 || last >= 20 || spans == nil && (change.Frames != 20 || last != 19) {
		t.Errorf("%s %v: frames up to %d come, and the error is %v", filepath.Base(path), spans, last, err)
	}
	if err := c.Recount(context.Background()); !errors.As(err, &change) || c.Info().Frames != 20 {
		t.Errorf("%d frames are counted: %v", c.Info().Frames, err)
	}
	if some, err := readDigests(t, c, ReadOptions{Spans: Groups(20, 4, 2)}); len(some) != 8 || err != nil {
		t.Errorf("sampling after the count gives %d frames: %v", len(some), err)
	}
}

// TestCodecsNotRead opens sound files in codecs that FFmpeg has and this package does not allow: the
// codec is named, and nothing is called damaged.
func TestCodecsNotRead(t *testing.T) {
	encoders := ffmpeg(t, "-encoders")
	for _, c := range []struct{ codec, ending, encode string }{
		{"theora", ".mkv", "libtheora"}, {"wmv2", ".avi", "wmv2"}, {"msmpeg4v3", ".avi", "msmpeg4"},
		{"mpeg1video", ".mpg", "mpeg1video"}, {"h263", ".mov", "h263 -s 176x144"}, {"cinepak", ".mov", "cinepak"},
		{"svq1", ".mov", "svq1"}, {"snow", ".mkv", "snow"}, {"dirac", ".ts", "vc2"}, {"jpegls", ".mov", "jpegls"},
		{"hap", ".mov", "hap"}, {"ayuv", ".avi", "ayuv"}, {"zmbv", ".mkv", "zmbv"}, {"smc", ".mov", "smc"},
	} {
		t.Run(c.codec, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), c.codec+c.ending)
			if !hasEncoder(encoders, strings.Fields(c.encode)[0]) {
				return
			}
			ffmpeg(t, append(strings.Fields("-f lavfi -i testsrc2=s=160x96 -frames:v 4 -strict -2 -c:v "+c.encode), path)...)
			_, err := Open(path)
			var e *ClipError
			if !errors.As(err, &e) || !errors.Is(err, ErrUnsupported) || errors.Is(err, ErrDamaged) ||
				!strings.Contains(e.What, "stopledger does not read ") || !strings.Contains(e.What, "("+c.codec+")") {
				t.Errorf("%v", err)
			}
		})
	}
}

// hasEncoder reports whether one of the encoders that the ffmpeg program lists has a name.
func hasEncoder(encoders []byte, name string) bool {
	return bytes.Contains(encoders, []byte(" "+name+" ")) // of this version
}

// TestEveryCodec goes through FFmpeg's codec numbers: a decoder that is not allowed is named as that.
func TestEveryCodec(t *testing.T) {
	unread := 0
	p := astiav.AllocCodecParameters()
	defer p.Free()
	for id := range astiav.CodecID(400) {
		p.SetCodecID(id)
		codec, err := allowedDecoder(p)
		if err == nil {
			if !slices.Contains(codecs, codec.Name()) {
				t.Errorf("%s is read", codec.Name())
			}
			continue
		}
		text := explain("a.mov", err).Error()
		known := astiav.FindDecoder(id) != nil
		if known {
			unread++
		}
		if !strings.Contains(text, "stopledger does not read ") || strings.Contains(text, "damaged") ||
			known && !strings.Contains(text, "("+id.Name()+") video") {
			t.Errorf("codec %d: %s", id, text)
		}
	}
	if unread < 100 {
		t.Errorf("%d codecs are not read", unread)
	}
}

// TestReplacedFile exchanges a clip's file between two reads.
func TestReplacedFile(t *testing.T) {
	folder := t.TempDir()
	content, err := os.ReadFile(clipNamed(t, "prores hq"))
	if err != nil {
		t.Fatal(err)
	}
	other, err := os.ReadFile(clipNamed(t, "hevc long"))
	if err != nil {
		t.Fatal(err)
	}
	for name, replace := range map[string]func(path string) error{
		"written over": func(path string) error { return os.WriteFile(path, other, 0o600) },
		"cut":          func(path string) error { return os.Truncate(path, int64(len(content)/2)) },
		"renamed over": func(path string) error {
			if err := os.WriteFile(path+".new", content, 0o600); err != nil {
				return err
			}
			return os.Rename(path+".new", path)
		},
		"removed": os.Remove,
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(folder, strings.ReplaceAll(name, " ", "-")+".mov")
			if err := os.WriteFile(path, bytes.Clone(content), 0o600); err != nil {
				t.Fatal(err)
			}
			c := mustOpen(t, path)
			if seen, err := readDigests(t, c, ReadOptions{Spans: []Span{{0, 2}}}); len(seen) != 2 || err != nil {
				t.Fatal(len(seen), err)
			}
			if err := replace(path); err != nil {
				t.Fatal(err)
			}
			seen, err := readDigests(t, c, ReadOptions{Spans: []Span{{0, math.MaxInt32}}})
			if len(seen) != 0 || !errors.Is(err, ErrUnreadable) {
				t.Errorf("%d frames come, and the error is %v", len(seen), err)
			}
		})
	}
}
