package audit

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/placement"
	"stopledger/cmd/internal/card"
	"stopledger/decode/geometry"
	"stopledger/report"
)

func entriesOf(names ...string) []card.Entry {
	list := make([]card.Entry, len(names))
	for i, n := range names {
		list[i] = card.Entry{Path: n, Name: n}
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
		b := Batch{Entries: entriesOf(names...), Jobs: jobs,
			Measure: func(ctx context.Context, j Job) (report.Clip, error) {
				<-release[j.Path]
				return fakeMeasure(ctx, j)
			},
			Done: func(c report.Clip) { handed = append(handed, c.Path) },
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
		res := b.Run(t.Context())
		var clips, failed, wantClips, wantFailed []string
		for _, c := range res.Clips {
			clips = append(clips, c.Path)
		}
		for _, f := range res.Failed {
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
			t.Errorf("seed %d, %d jobs:\nclips  %q\nhanded %q\nwant   %q\nfailed %q\nwant   %q", seed, jobs, clips, handed,
				wantClips, failed, wantFailed)
		}
	}
}

func TestPanicFailsOneClip(t *testing.T) {
	b := Batch{Entries: entriesOf("a", "panic", "c"), Jobs: 1, Measure: fakeMeasure}
	res := b.Run(t.Context())
	if len(res.Clips) != 2 || len(res.Failed) != 1 {
		t.Fatalf("%d clips and %d failures", len(res.Clips), len(res.Failed))
	}
	for _, part := range []string{"index out of range", "fakeMeasure", "please report it"} {
		if !strings.Contains(res.Failed[0].Error, part) {
			t.Errorf("%q does not say %q", res.Failed[0].Error, part)
		}
	}
}

func TestProgressIsWhole(t *testing.T) {
	var mu sync.Mutex
	last := map[int]float64{}
	b := Batch{Entries: entriesOf("a", "bad", "c", "panic"), Jobs: 2, Measure: fakeMeasure,
		Progress: func(i int, share float64) {
			mu.Lock()
			defer mu.Unlock()
			last[i] = share
		}}
	b.Entries[2].Err = errFull
	b.Run(t.Context())
	for i := range b.Entries {
		if last[i] != 1 {
			t.Errorf("entry %d ends at %g", i, last[i])
		}
	}
}

// Each clip is given the last one before it that has grey of its own, whatever the jobs.
func TestHeldGrey(t *testing.T) {
	names := []string{"none0", "card1", "none2", "bad3", "none4", "face5", "card6", "weak7", "none8"}
	want := map[string]string{"none0": "", "none2": "card1", "none4": "card1", "face5": "card1", "card6": "card1",
		"weak7": "card6", "none8": "card6", "card1": ""}
	for _, jobs := range []int{1, 2, 9} {
		var mu sync.Mutex
		got := map[string]string{}
		b := Batch{Entries: entriesOf(names...), Jobs: jobs, Settings: analyze.Settings{HoldGrey: true},
			Measure: func(ctx context.Context, j Job) (report.Clip, error) {
				c, err := fakeMeasure(ctx, j)
				if err != nil {
					return c, err
				}
				held := j.Held(ctx)
				mu.Lock()
				defer mu.Unlock()
				if got[j.Path] = ""; held != nil {
					got[j.Path] = held.Path
				}
				switch kind := strings.TrimRight(j.Path, "0123456789"); kind {
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
					c.Placement.Method = placement.Method(kind)
				}
				return c, nil
			}}
		b.Run(t.Context())
		for name, from := range want {
			if got[name] != from {
				t.Errorf("%d jobs: %s holds grey of %q, want %q", jobs, name, got[name], from)
			}
		}
	}
	b := Batch{Entries: entriesOf("a"), Jobs: 1, Measure: func(_ context.Context, j Job) (report.Clip, error) {
		if j.Held != nil {
			t.Error("grey is held without being asked for")
		}
		return fakeClip(j.Path), nil
	}}
	b.Run(t.Context())
}

// Trouble with a clip's pictures spoils no number; the first of it is told.
func TestTroubleWithPictures(t *testing.T) {
	b := Batch{Entries: entriesOf("a", "bad", "c", "d"), Jobs: 2, Folder: "report",
		Measure: func(ctx context.Context, j Job) (report.Clip, error) {
			c, err := fakeMeasure(ctx, j)
			if err == nil && j.Folder == "report" && j.Path != "a" {
				err = &PictureError{j.Path, fmt.Errorf("%s: %w", j.Path, errFull)}
			}
			return c, err
		}}
	res := b.Run(t.Context())
	if len(res.Clips) != 3 || len(res.Failed) != 1 || !errors.Is(res.Pictures, errFull) ||
		!strings.Contains(res.Pictures.Error(), "c: ") {
		t.Errorf("%d clips, %d failures, error %v", len(res.Clips), len(res.Failed), res.Pictures)
	}
}

// Takes are enlarged in the same place: that of the first, which has its own.
func TestSamePlace(t *testing.T) {
	for _, strips := range [][]report.Strip{nil, {{Region: geometry.Rect{X: 16, Y: 32, W: 64, H: 64}}}} {
		var mu sync.Mutex
		got := map[string]*geometry.Rect{}
		b := Batch{Entries: entriesOf("a", "b", "c"), Jobs: 3, SamePlace: true,
			Measure: func(ctx context.Context, j Job) (report.Clip, error) {
				c := fakeClip(j.Path)
				if j.Strip == nil {
					c.Pictures = &report.Pictures{Strips: strips}
					return c, nil
				}
				at := j.Strip(ctx)
				mu.Lock()
				defer mu.Unlock()
				got[j.Path] = at
				return c, nil
			}}
		b.Run(t.Context())
		for _, path := range []string{"b", "c"} {
			if at, asked := got[path]; !asked || (at == nil) != (strips == nil) || at != nil && *at != strips[0].Region {
				t.Errorf("%s is enlarged at %v, the first at %v", path, at, strips)
			}
		}
		if len(got) != 2 {
			t.Errorf("places: %v", got)
		}
	}
}
