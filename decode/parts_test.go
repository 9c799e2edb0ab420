package decode

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// partsOf makes clips of so many frames each, whose pictures all differ.
func partsOf(t *testing.T, ending, encode string, frames ...int) (paths []string) {
	t.Helper()
	for i, n := range frames {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("part%d%s", i, ending))
		ffmpeg(t, append(append([]string{"-f", "lavfi", "-i", "testsrc2=size=96x64:rate=25", "-ss", fmt.Sprint(i + 1),
			"-vf", noise, "-frames:v", fmt.Sprint(n)}, strings.Fields(encode)...), path)...)
		paths = append(paths, path)
	}
	return paths
}

func openParts(t *testing.T, paths []string) *Clip {
	t.Helper()
	c, err := OpenParts(context.Background(), nil, paths...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

// A clip in parts has the frames of its parts, one after the other, read whole or in spans across
// the borders, on one timeline.
func TestParts(t *testing.T) {
	for _, test := range []struct{ name, ending, encode string }{
		{"intra mov", ".mov", "-pix_fmt yuv422p10le -c:v prores_ks"},
		{"long mxf", ".mxf", "-pix_fmt yuv422p10le -c:v libx264 -preset veryfast -g 10 -bf 2"},
		{"mkv that counts no frames", ".mkv", "-pix_fmt yuv420p10le -c:v libx264 -preset veryfast -g 10 -bf 2"},
	} {
		t.Run(test.name, func(t *testing.T) {
			frames := []int{12, 5, 9}
			paths := partsOf(t, test.ending, test.encode, frames...)
			want, times, size, first := map[int]digest{}, map[int]float64{}, int64(0), 0
			for i, path := range paths {
				of, err := readDigests(t, mustOpen(t, path), ReadOptions{})
				if err != nil || len(of) != frames[i] {
					t.Fatalf("%s: %d frames, %v", path, len(of), err)
				}
				for n, d := range of {
					want[first+n] = d
				}
				err = mustOpen(t, path).Read(context.Background(), ReadOptions{}, func(f *Frame) error {
					times[first+f.Index] = f.Time + float64(first)/25
					return nil
				})
				if err != nil {
					t.Fatal(err)
				}
				first += frames[i]
				size += fileBytes(path)
			}
			c := openParts(t, paths)
			if i := c.Info(); i.Frames != 26 || i.Bytes != size || math.Abs(i.DurationS-26./25) > 0.001 || len(i.Parts) != 3 {
				t.Errorf("%d frames, %d bytes, %g s, parts %q", i.Frames, i.Bytes, i.DurationS, i.Parts)
			}
			if got, err := readDigests(t, c, ReadOptions{}); err != nil || !maps.Equal(got, want) {
				t.Errorf("read whole: %d frames of %d, %v", len(got), len(want), err)
			}
			checkSpansOfParts(t, c, want, times)
			if err := c.Recount(context.Background()); err != nil || c.Info().Frames != 26 {
				t.Errorf("counted anew: %d, %v", c.Info().Frames, err)
			}
		})
	}
}

func checkSpansOfParts(t *testing.T, c *Clip, want map[int]digest, times map[int]float64) {
	t.Helper()
	spans := []Span{{2, 3}, {10, 9}, {20, 1}, {24, 2}} // the second over all three parts
	groups := map[int]int{}
	err := c.Read(context.Background(), ReadOptions{Spans: spans}, func(f *Frame) error {
		if digestOf(f) != want[f.Index] || math.Abs(f.Time-times[f.Index]) > 0.001 {
			t.Errorf("frame %d at %g s is another", f.Index, f.Time)
		}
		if s := spans[f.Group]; f.Index != s.First+groups[f.Group] {
			t.Errorf("frame %d came as number %d of group %d", f.Index, groups[f.Group], f.Group)
		}
		groups[f.Group]++
		return nil
	})
	if err != nil || !maps.Equal(groups, map[int]int{0: 3, 1: 9, 2: 1, 3: 2}) {
		t.Errorf("in spans: %v, %v", groups, err)
	}
	err = c.Read(context.Background(), ReadOptions{Chunk: 10}, func(f *Frame) error {
		if f.Group != f.Index/10 {
			t.Errorf("frame %d is in chunk %d", f.Index, f.Group)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	stop := errors.New("enough")
	if err := c.Read(context.Background(), ReadOptions{}, func(*Frame) error { return stop }); err != stop {
		t.Errorf("stopped: %v", err)
	}
}

func TestPartsThatDiffer(t *testing.T) {
	paths := append(partsOf(t, ".mov", "-pix_fmt yuv422p10le -c:v prores_ks", 3),
		partsOf(t, ".mov", "-s 128x64 -pix_fmt yuv422p10le -c:v prores_ks", 3)...)
	_, err := OpenParts(context.Background(), nil, paths...)
	var clip *ClipError
	if !errors.As(err, &clip) || !strings.Contains(clip.What, "its parts differ in format: 96 x 64,") ||
		!strings.Contains(clip.What, paths[1]+" is 128 x 64") {
		t.Errorf("got %v", err)
	}
	if _, err := OpenParts(context.Background(), nil, paths[0], "nowhere.mov"); !errors.Is(err, ErrUnreadable) {
		t.Errorf("a part that is missing: %v", err)
	}
}

// What a damaged part lost is lost of the whole; the parts after it keep their numbers.
func TestDamagedPart(t *testing.T) {
	paths := partsOf(t, ".mov", "-pix_fmt yuv422p10le -c:v prores_ks", 6, 6, 4)
	data, err := os.ReadFile(paths[1])
	if err != nil {
		t.Fatal(err)
	}
	at := len(data) / 2 // within a frame's data, before the index at the end
	for i := range 3000 {
		data[at-1500+i] = 0
	}
	if err := os.WriteFile(paths[1], data, 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := readDigests(t, openParts(t, paths), ReadOptions{})
	var damage *Damage
	if !errors.As(err, &damage) || damage.Lost < 1 || damage.Frames+damage.Lost != 16 || damage.Path != paths[0] {
		t.Fatalf("%v", err)
	}
	last, err := readDigests(t, mustOpen(t, paths[2]), ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for n, d := range last {
		if got[12+n] != d {
			t.Errorf("frame %d of the last part is another", n)
		}
	}
}
