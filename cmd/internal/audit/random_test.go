package audit

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"stopledger/analyze"
	"stopledger/decode"
	"stopledger/report"
	"stopledger/report/ledger"
)

// Clips that end whenever they like, with random times, give one result: measured and failed in the
// order of the entries, handed on in that order, never before all entries before them are through.
func TestOrderWithRandomTimes(t *testing.T) {
	for seed := range uint64(12) {
		random := rand.New(rand.NewPCG(seed, 94))
		n, jobs := 1+random.IntN(30), 1+random.IntN(9)
		var names, wantClips, wantFailed []string
		waits := map[string]time.Duration{}
		for i := range n {
			name := []string{"clip", "bad"}[random.IntN(2)] + fmt.Sprint(i)
			names = append(names, name)
			waits[name] = time.Duration(random.IntN(3000)) * time.Microsecond
			if strings.HasPrefix(name, "bad") {
				wantFailed = append(wantFailed, name)
			} else {
				wantClips = append(wantClips, name)
			}
		}
		var ended sync.Map
		var underWay, most atomic.Int64
		var handed []string
		res := Batch{Entries: entriesOf(names...), Jobs: jobs,
			Measure: func(ctx context.Context, j Job) (report.Clip, error) {
				now := underWay.Add(1)
				for most.Load() < now && !most.CompareAndSwap(most.Load(), now) {
				}
				defer underWay.Add(-1)
				time.Sleep(waits[j.Path])
				ended.Store(j.Path, true)
				return fakeMeasure(ctx, j)
			},
			Done: func(c report.Clip) {
				handed = append(handed, c.Path)
				for _, before := range names[:slices.Index(names, c.Path)] {
					if _, ok := ended.Load(before); !ok {
						t.Errorf("seed %d: %s is handed on before %s has ended", seed, c.Path, before)
					}
				}
			}}.Run(t.Context())
		if got := report.Paths(res.Clips); !slices.Equal(got, wantClips) || !slices.Equal(handed, wantClips) {
			t.Errorf("seed %d: clips %q, handed on %q, want %q", seed, got, handed, wantClips)
		}
		var failed []string
		for _, f := range res.Failed {
			failed = append(failed, f.Path)
		}
		if !slices.Equal(failed, wantFailed) || len(res.NotReached) != 0 || most.Load() > int64(jobs) {
			t.Errorf("seed %d: failed %q, not reached %q, %d of %d jobs at once", seed, failed, res.NotReached, most.Load(),
				jobs)
		}
	}
}

// An interruption leaves what is measured measured and names what was not reached: none is lost, none is
// called a failure, and nothing is begun after it.
func TestInterruptionLosesNothing(t *testing.T) {
	for seed := range uint64(12) {
		random := rand.New(rand.NewPCG(seed, 95))
		n, jobs, stopAt := 5+random.IntN(30), 1+random.IntN(6), int64(1+random.IntN(12))
		var names []string
		for i := range n {
			names = append(names, fmt.Sprint([]string{"clip", "clip", "bad"}[random.IntN(3)], i))
		}
		ctx, stop := context.WithCancel(t.Context())
		var begun, stopped, whole, failed atomic.Int64
		res := Batch{Entries: entriesOf(names...), Jobs: jobs,
			Measure: func(ctx context.Context, j Job) (report.Clip, error) {
				if begun.Add(1) == stopAt {
					stop()
					stopped.Store(begun.Load()) // on a busy machine others begin before the stop is through
				}
				if ctx.Err() != nil && len(j.Path)%2 == 0 {
					return report.Clip{}, fmt.Errorf("%s: %w", j.Path, ctx.Err())
				}
				clip, err := fakeMeasure(ctx, j)
				if err != nil {
					failed.Add(1)
				} else {
					whole.Add(1)
				}
				return clip, err
			}}.Run(ctx)
		stop()
		if len(res.Clips)+len(res.Failed)+len(res.NotReached) != n {
			t.Errorf("seed %d: %d clips and %d failures of %d, not reached: %q", seed, len(res.Clips), len(res.Failed), n,
				res.NotReached)
		}
		if int64(len(res.Clips)) != whole.Load() || int64(len(res.Failed)) != failed.Load() {
			t.Errorf("seed %d: %d clips and %d failures, measured were %d and %d", seed, len(res.Clips), len(res.Failed),
				whole.Load(), failed.Load())
		}
		if at := stopped.Load(); at > 0 && begun.Load() > at+int64(jobs) {
			t.Errorf("seed %d: %d clips were begun, the interruption came after clip %d", seed, begun.Load(), at)
		}
		for _, f := range res.Failed {
			if strings.Contains(f.Error, "cancel") {
				t.Errorf("seed %d: an interruption is a failure of the clip: %+v", seed, f)
			}
		}
	}
}

// Interrupted before it begins, a batch does nothing; what cannot be a clip is still told.
func TestInterruptedBeforeItBegins(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	b := Batch{Entries: entriesOf("a", "b", "c"), Jobs: 2, Measure: func(context.Context, Job) (report.Clip, error) {
		t.Error("a clip is measured")
		return report.Clip{}, nil
	}}
	b.Entries[1].Err = &decode.ClipError{Path: "b", What: "there is no such file", Do: "check the name"}
	if res := b.Run(ctx); len(res.NotReached) != 2 || len(res.Failed) != 1 || res.Failed[0].Path != "b" {
		t.Errorf("%+v", res)
	}
	if res := (Batch{Jobs: 3}).Run(t.Context()); res.Clips == nil || res.Failed == nil || len(res.NotReached) != 0 {
		t.Errorf("of no entries: %+v", res)
	}
}

// A clip that waits for grey of one before it goes on when the run is interrupted.
func TestWaitingForGreyEnds(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	b := Batch{Entries: entriesOf("a", "b"), Jobs: 2, Settings: analyze.Settings{HoldGrey: true},
		Measure: func(ctx context.Context, j Job) (report.Clip, error) {
			if j.Path == "a" {
				<-ctx.Done()
				return report.Clip{}, ctx.Err()
			}
			time.AfterFunc(time.Millisecond, stop)
			if j.Held(ctx) != nil {
				t.Error("grey of a clip that was not measured is held")
			}
			return report.Clip{}, ctx.Err()
		}}
	if res := b.Run(ctx); len(res.NotReached) != 2 || len(res.Failed) != 0 {
		t.Errorf("%+v", res)
	}
}

// A report's folder is made with those above it and probed without a trace; a file in its place, no
// name, or a folder that a file stands in the way of, is told with what to do.
func TestPreparedFolders(t *testing.T) {
	inFolder(t, "taken.txt", "kept/notes.txt")
	for dir, want := range map[string]int{"new": 0, "deep/er/still": 0, "kept": 1} {
		f, err := PrepareFolder(dir, "audit")
		if err != nil {
			t.Errorf("%s: %v", dir, err)
			continue
		}
		if _, err := PrepareFolder(dir, "audit"); !errors.Is(err, ledger.ErrInUse) {
			t.Errorf("%s, in use: %v", dir, err)
		}
		f.Close()
		files, err := os.ReadDir(dir)
		if err != nil || len(files) != want {
			t.Errorf("%s holds %v: %v", dir, files, err)
		}
	}
	for dir, want := range map[string]string{"": "names no folder", "taken.txt": "is a file",
		"taken.txt/below": "taken.txt/below"} {
		if _, err := PrepareFolder(dir, "audit"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", dir, err)
		}
	}
}

// Files are written whole or not at all: where one fails the next is not begun, and what was there
// before stays.
func TestFilesAreWhole(t *testing.T) {
	inFolder(t, "r/b.txt")
	var begun []string
	write := func(name string, err error) file {
		return file{name, func(w io.Writer) error {
			begun = append(begun, name)
			if _, failed := w.Write([]byte("half")); failed != nil {
				return failed
			}
			return err
		}}
	}
	err := writeFiles("r", []file{write("a.txt", nil), write("b.txt", errFull), write("c.txt", nil)})
	if !errors.Is(err, errFull) || !slices.Equal(begun, []string{"a.txt", "b.txt"}) {
		t.Errorf("wrote %q: %v", begun, err)
	}
	for name, want := range map[string]string{"a.txt": "half", "b.txt": "not empty"} {
		if got, err := os.ReadFile(filepath.Join("r", name)); err != nil || string(got) != want {
			t.Errorf("%s holds %q: %v", name, got, err)
		}
	}
	if files, err := os.ReadDir("r"); err != nil || len(files) != 2 {
		t.Errorf("left behind: %v, %v", files, err)
	}
}
