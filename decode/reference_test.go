package decode

import (
	"bytes"
	"context"
	"strconv"
	"testing"
)

// planarTwin names the planar, little-endian format that holds a clip's samples unchanged.
func planarTwin(i Info) string {
	narrow := i.Bits == 8
	name := map[string]string{"4:2:0": "yuv420p", "4:2:2": "yuv422p", "4:4:4": "yuv444p", "RGB": "gbrp",
		"gray": "gray"}[i.Chroma]
	if i.PixelFormat[:4] == "yuvj" {
		name = "yuvj" + name[3:]
	}
	if narrow {
		return name
	}
	return name + strconv.Itoa(i.Bits) + "le"
}

// TestSamplesMatchFFmpeg compares every sample of every frame with what the ffmpeg program
// writes for the same file (its rawvideo muxer, without scaling or timing).
func TestSamplesMatchFFmpeg(t *testing.T) {
	for _, clip := range testClips {
		t.Run(clip.name, func(t *testing.T) {
			path := clip.make(t)
			compareWithFFmpeg(t, path, clip.withDefaults().frames, "-i", path)
		})
	}
}

// compareWithFFmpeg reads path here, and input with the ffmpeg program.
func compareWithFFmpeg(t *testing.T, path string, frames int, input ...string) {
	t.Helper()
	c := mustOpen(t, path)
	info := c.Info()
	want := ffmpeg(t, append(input, "-map", "0:v:0", "-fps_mode", "passthrough", "-f", "rawvideo",
		"-pix_fmt", planarTwin(info), "-")...)
	n := 0
	err := c.Read(context.Background(), ReadOptions{}, func(f *Frame) error {
		got := rawBytes(f, info.Bits == 8)
		if f.Index != n {
			t.Errorf("frame %d has index %d", n, f.Index)
		}
		n++
		if len(want) < len(got) {
			t.Fatalf("ffmpeg gives fewer than %d frames", n)
		}
		if !bytes.Equal(got, want[:len(got)]) {
			t.Errorf("frame %d differs from ffmpeg's", f.Index)
		}
		want = want[len(got):]
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	if n != frames || len(want) != 0 {
		t.Errorf("read %d frames, want %d; ffmpeg has %d bytes more", n, frames, len(want))
	}
}
