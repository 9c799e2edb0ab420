package decode

import (
	"sync"
	"testing"
)

// handedOn are clips whose containers list their packets, so that the input of a Read is left to the next.
var handedOn = []string{"prores hq", "hevc open", "h264 422 10", "h264 full 8", "uyvy 8"}

// TestReadsHandOnTheDecoder: what a Read left gives the next the same frames, from wherever, and is used.
func TestReadsHandOnTheDecoder(t *testing.T) {
	for _, name := range handedOn {
		t.Run(name, func(t *testing.T) {
			path := clipNamed(t, name)
			want, err := readDigests(t, mustOpen(t, path), ReadOptions{})
			if err != nil {
				t.Fatal(err)
			}
			c := mustOpen(t, path)
			var before *input
			for i, opt := range []ReadOptions{
				{Spans: []Span{{3, 2}, {14, 3}}}, {}, {Spans: []Span{{0, 1}, {17, 2}}}, {Threads: 1},
				{Threads: 1, Spans: []Span{{1, 4}}}, {},
			} {
				got, err := readDigests(t, c, opt)
				if err != nil || opt.Spans == nil && len(got) != len(want) {
					t.Errorf("read %d: %d frames came, %v", i, len(got), err)
				}
				compareFrames(t, got, want)
				left := c.input
				if left == nil || left.decoder == nil || opt.Threads > 0 && left.threads != opt.Threads {
					t.Fatalf("read %d left %+v", i, left)
				}
				if before != nil && left != before {
					t.Errorf("read %d did not take what was left", i)
				}
				before = left
			}
		})
	}
}

// TestReadsAtOnce: Reads of one clip that run at once each have a decoder of their own.
func TestReadsAtOnce(t *testing.T) {
	for _, name := range handedOn {
		c := mustOpen(t, clipNamed(t, name))
		want, err := readDigests(t, c, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var wait sync.WaitGroup
		for i := range 3 {
			wait.Go(func() {
				got, err := readDigests(t, c, ReadOptions{Spans: []Span{{i, 4}, {10 + i, 5}}})
				if err != nil || len(got) != 9 {
					t.Errorf("%s: %d frames came, %v", name, len(got), err)
				}
				compareFrames(t, got, want)
			})
		}
		wait.Wait()
	}
}

// TestFramesOutliveTheClip: a frame that is kept is the same after its clip was read again, and closed.
func TestFramesOutliveTheClip(t *testing.T) {
	for _, name := range handedOn {
		c := mustOpen(t, clipNamed(t, name))
		var kept []*Frame
		var want []digest
		err := c.Read(t.Context(), ReadOptions{Spans: []Span{{2, 3}}}, func(f *Frame) error {
			f.Keep()
			kept, want = append(kept, f), append(want, digestOf(f))
			return nil
		})
		if err != nil || len(kept) != 3 {
			t.Fatalf("%s: %d frames came, %v", name, len(kept), err)
		}
		if _, err := readDigests(t, c, ReadOptions{}); err != nil {
			t.Fatal(err)
		}
		c.Close()
		for i, f := range kept {
			if digestOf(f) != want[i] {
				t.Errorf("%s: frame %d has changed", name, f.Index)
			}
			f.Release()
		}
	}
}

// TestNothingIsLeft: neither of large frames nor of parts, which are read in turn, is a decoder kept.
func TestNothingIsLeft(t *testing.T) {
	large := testClip{name: "large", file: "large.mov", size: "2720x1536", frames: 2,
		encode: "-pix_fmt yuv422p10le -c:v prores_ks"}.make(t)
	c := mustOpen(t, large)
	if _, err := readDigests(t, c, ReadOptions{}); err != nil || c.input == nil || c.input.decoder != nil {
		t.Errorf("of large frames %+v is left, %v", c.input, err)
	}
	path := clipNamed(t, "h264 full 8")
	parts, err := OpenParts(t.Context(), nil, path, path)
	if err != nil {
		t.Fatal(err)
	}
	defer parts.Close()
	if got, err := readDigests(t, parts, ReadOptions{}); err != nil || len(got) != 40 {
		t.Errorf("of two parts %d frames came, %v", len(got), err)
	}
	for _, p := range parts.parts {
		if p.input == nil || p.input.decoder != nil || len(p.pool.idle) > 0 {
			t.Errorf("of a part %+v is left, and %d buffers", p.input, len(p.pool.idle))
		}
	}
}
