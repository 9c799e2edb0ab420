package decode

import (
	"bytes"
	"context"
	"errors"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// What a fuzzed file may cost.
const (
	mostFuzzBytes  = 1 << 18
	mostFuzzFrames = 40
	fuzzTime       = 10 * time.Second
)

// smallClips are clips of a few frames in many formats.
func smallClips(t testing.TB) map[string][]byte {
	clips := map[string][]byte{}
	for _, clip := range []testClip{
		{file: "a.mov", encode: "-pix_fmt yuv422p10le -c:v prores_ks"},
		{file: "b.mp4", encode: "-pix_fmt yuv420p10le -c:v libx264 -preset ultrafast -bf 1"},
		{file: "c.mkv", encode: "-pix_fmt yuv422p12le -c:v ffv1"},
		{file: "d.mxf", encode: "-pix_fmt yuv422p -c:v mpeg2video"},
		{file: "e.ts", encode: "-pix_fmt yuv420p -c:v libx264 -preset ultrafast"},
		{file: "f.y4m", encode: "-pix_fmt yuv420p"},
		{file: "g.webm", encode: "-pix_fmt yuv420p10le -c:v libvpx-vp9 -deadline realtime"},
		{file: "h.mp4", encode: "-pix_fmt yuv420p10le -c:v libx265 -x265-params log-level=none"},
		{file: "i.dpx", encode: "-pix_fmt gbrp10le -update 1"},
		{file: "j.tif", encode: "-pix_fmt rgb48le -update 1"},
		{file: "k.png", encode: "-pix_fmt rgb48be -update 1"},
		{file: "l.avi", encode: "-pix_fmt yuv422p -c:v ffvhuff"},
	} {
		clip.size, clip.frames = "64x64", 4
		clip.encode += " -bitexact"
		content, err := os.ReadFile(clip.make(t))
		if err != nil {
			t.Fatal(err)
		}
		clips[clip.file] = content
	}
	return clips
}

// TestChangedBytes opens and reads small clips with a few bytes changed at random, most of them
// near the start or the end, where headers and indexes are.
func TestChangedBytes(t *testing.T) {
	const seed, variants = 11, 8
	rng := rand.New(rand.NewPCG(seed, 0))
	clips := smallClips(t)
	for _, name := range slices.Sorted(maps.Keys(clips)) {
		content := clips[name]
		for range variants {
			changed := bytes.Clone(content)
			for range 1 + rng.IntN(12) {
				at := int(float64(len(changed)) * math.Pow(rng.Float64(), 3))
				if rng.IntN(2) == 0 {
					at = len(changed) - 1 - at
				}
				changed[at] = byte(rng.Uint32())
			}
			ctx, cancel := context.WithTimeout(context.Background(), fuzzTime)
			openAndRead(ctx, t, write(t, name, changed))
			if ctx.Err() != nil {
				t.Errorf("%s took more than %v", name, fuzzTime)
			}
			cancel()
		}
	}
}

// FuzzOpenAndRead changes small real clips. Whatever is in a file, there is a result or an error
// of the types promised, in time, and frames have the shape they say.
func FuzzOpenAndRead(f *testing.F) {
	for name, content := range smallClips(f) {
		f.Add(filepath.Ext(name), content)
		f.Add(filepath.Ext(name), content[:len(content)*2/3])
	}
	f.Fuzz(func(t *testing.T, ext string, content []byte) {
		if len(content) > mostFuzzBytes || len(ext) > 6 || filepath.Base("a"+ext) != "a"+ext {
			return
		}
		path := filepath.Join(t.TempDir(), "a"+ext)
		if os.WriteFile(path, content, 0o600) != nil {
			return
		}
		ctx, cancel := context.WithTimeout(context.Background(), fuzzTime)
		defer cancel()
		openAndRead(ctx, t, path)
		if ctx.Err() != nil {
			t.Errorf("took more than %v", fuzzTime)
		}
	})
}

func openAndRead(ctx context.Context, t *testing.T, path string) {
	c, err := Open(path)
	if err != nil {
		var e *ClipError
		if !errors.As(err, &e) {
			t.Errorf("Open: %v is no *ClipError", err)
		}
		return
	}
	defer c.Close()
	i := c.Info()
	if i.Frames < 0 || i.Bits < 8 || i.Width <= 0 || i.Height <= 0 || i.DurationS < 0 {
		t.Errorf("%+v", i)
	}
	enough := errors.New("enough")
	for _, opt := range []ReadOptions{{Threads: 1}, {Spans: Groups(i.Frames, 3, 2), Threads: 2}} {
		n := 0
		err = c.Read(ctx, opt, func(f *Frame) error {
			checkShape(t, f)
			if n++; n == mostFuzzFrames {
				return enough
			}
			return nil
		})
		var e *ClipError
		if err != nil && err != enough && ctx.Err() == nil && damageOf(err) == nil && !errors.As(err, &e) {
			t.Errorf("Read: %v is of no promised type", err)
		}
	}
}

// checkShape touches the corners of each plane.
func checkShape(t *testing.T, f *Frame) {
	for i, p := range f.Planes {
		if f.Layout == Gray && i > 0 {
			continue
		}
		first, last := p.Row(0), p.Row(p.Height-1)
		if len(first) != p.Width || int(first[0]|last[p.Width-1])>>f.Bits != 0 {
			t.Errorf("plane %d of %dx%d holds more than %d bits", i, p.Width, p.Height, f.Bits)
		}
	}
}
