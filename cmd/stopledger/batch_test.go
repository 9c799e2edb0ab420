package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"stopledger/analyze"
	"stopledger/report"
)

func entriesOf(names ...string) []entry {
	list := make([]entry, len(names))
	for i, n := range names {
		list[i] = entry{path: n, name: n}
	}
	return list
}

// Clips that end in any order are handed on in the order of the entries, each as soon as all
// before it are through.
func TestOrderWithJobs(t *testing.T) {
	const seed = 5
	random := rand.New(rand.NewPCG(seed, 0))
	for _, jobs := range []int{1, 2, 3, 8, 64} {
		var names []string
		for i := range 24 {
			names = append(names, []string{"clip", "bad", "alarm", "panic"}[random.IntN(4)]+fmt.Sprint(i))
		}
		release := map[string]chan struct{}{}
		for _, n := range names {
			release[n] = make(chan struct{})
		}
		var handed []string
		b := batch{entries: entriesOf(names...), jobs: jobs,
			measure: func(ctx context.Context, path string, s auditSettings) (report.Clip, analyze.Stills, error) {
				<-release[path]
				return fakeMeasure(ctx, path, s)
			},
			done: func(c report.Clip) { handed = append(handed, c.Path) },
		}
		go func() { // lets clips end backwards among those under way
			for i := 0; i < len(names); i += jobs {
				window := slices.Clone(names[i:min(i+jobs, len(names))])
				slices.Reverse(window)
				for _, n := range window {
					close(release[n])
				}
			}
		}()
		res := b.run(t.Context())
		var clips, failed, wantClips, wantFailed []string
		for _, c := range res.clips {
			clips = append(clips, c.Path)
		}
		for _, f := range res.failed {
			failed = append(failed, f.Path)
		}
		for _, n := range names {
			if strings.Contains(n, "bad") || strings.Contains(n, "panic") {
				wantFailed = append(wantFailed, n)
			} else {
				wantClips = append(wantClips, n)
			}
		}
		if !slices.Equal(clips, wantClips) || !slices.Equal(handed, wantClips) || !slices.Equal(failed, wantFailed) {
			t.Errorf("seed %d, %d jobs:\nclips  %q\nhanded %q\nwant   %q\nfailed %q\nwant   %q", seed, jobs, clips, handed, wantClips, failed, wantFailed)
		}
	}
}

func TestPanicFailsOneClip(t *testing.T) {
	b := batch{entries: entriesOf("a", "panic", "c"), jobs: 1, measure: fakeMeasure}
	res := b.run(t.Context())
	if len(res.clips) != 2 || len(res.failed) != 1 {
		t.Fatalf("%d clips and %d failures", len(res.clips), len(res.failed))
	}
	for _, part := range []string{"index out of range", "fakeMeasure", "please report it"} {
		if !strings.Contains(res.failed[0].Error, part) {
			t.Errorf("%q does not say %q", res.failed[0].Error, part)
		}
	}
}

func TestProgressIsWhole(t *testing.T) {
	var mu sync.Mutex
	last := map[int]float64{}
	b := batch{entries: entriesOf("a", "bad", "c", "panic"), jobs: 2, measure: fakeMeasure,
		progress: func(i int, share float64) {
			mu.Lock()
			defer mu.Unlock()
			last[i] = share
		}}
	b.entries[2].err = errFull
	b.run(t.Context())
	for i := range b.entries {
		if last[i] != 1 {
			t.Errorf("entry %d ends at %g", i, last[i])
		}
	}
}

// Each clip is given the last one before it that has grey of its own, whatever the jobs.
func TestHeldGrey(t *testing.T) {
	names := []string{"none0", "card1", "none2", "bad3", "none4", "face5", "card6", "weak7", "none8"}
	want := map[string]string{"none0": "", "none2": "card1", "none4": "card1", "face5": "card1", "card6": "card1", "weak7": "card6", "none8": "card6", "card1": ""}
	for _, jobs := range []int{1, 2, 9} {
		var mu sync.Mutex
		got := map[string]string{}
		b := batch{entries: entriesOf(names...), jobs: jobs, holdGrey: true,
			measure: func(ctx context.Context, path string, s auditSettings) (report.Clip, analyze.Stills, error) {
				c, stills, err := fakeMeasure(ctx, path, s)
				if err != nil {
					return c, stills, err
				}
				held := s.HeldGrey(ctx)
				mu.Lock()
				defer mu.Unlock()
				if got[path] = ""; held != nil {
					got[path] = held.Path
				}
				switch kind := strings.TrimRight(path, "0123456789"); kind {
				case "none":
					c.Placement = nil
					if held != nil {
						p := *held.Placement
						p.Carried = held.Path
						c.Placement = &p
					}
				case "weak":
					c.Placement.Weak = true
				default:
					c.Placement.Method = kind
				}
				return c, stills, nil
			}}
		b.run(t.Context())
		for name, from := range want {
			if got[name] != from {
				t.Errorf("%d jobs: %s holds grey of %q, want %q", jobs, name, got[name], from)
			}
		}
	}
	b := batch{entries: entriesOf("a"), jobs: 1, measure: func(_ context.Context, path string, s auditSettings) (report.Clip, analyze.Stills, error) {
		if s.HeldGrey != nil {
			t.Error("grey is held without being asked for")
		}
		return fakeClip(path), analyze.Stills{}, nil
	}}
	b.run(t.Context())
}

// Pictures are written for each measured clip; trouble with them spoils no number.
func TestPictures(t *testing.T) {
	var mu sync.Mutex
	var drawn []string
	b := batch{entries: entriesOf("a", "bad", "c"), jobs: 2, measure: fakeMeasure,
		pictures: func(c *report.Clip, _ *analyze.Stills) error {
			mu.Lock()
			defer mu.Unlock()
			drawn = append(drawn, c.Path)
			c.Pictures = &report.Pictures{Thumb: filepath.Join("pictures", c.Path)}
			if c.Path == "c" {
				return errFull
			}
			return nil
		}}
	res := b.run(t.Context())
	slices.Sort(drawn)
	if !slices.Equal(drawn, []string{"a", "c"}) || res.pictures != errFull {
		t.Errorf("drawn %q, error %v", drawn, res.pictures)
	}
	if len(res.clips) != 2 || res.clips[0].Pictures == nil {
		t.Errorf("clips %v", res.clips)
	}
}
