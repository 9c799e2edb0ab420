//go:build linux

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"
)

// givenUp is how long what does not get on may take in all: the program's own 30 s, and the rest of
// its run.
const givenUp = 35 * time.Second

// endless is the size of files whose tail is nothing but zeros, of which a disk holds none.
const endless = 64 << 30

// A snare is a folder with something to hang at.
type snare struct {
	name string
	set  func(s *soak, folder string) error
	args []string // after "audit --quiet", in that folder
	code []int    // that are right
}

// snares are files without end and pipes that nobody writes to.
func snares() (all []snare) {
	open := []string{"--curve", "slog3", "."}
	some := []int{exitMeasured, exitSomeFailed}
	for _, name := range []string{"dnxhr.mxf", "ffv1.avi", "mpeg2.mpg", "hevc.ts", "ffv1.mkv", "prores.mov", "hevc.mp4",
		"pictures.dpx"} {
		all = append(all, snare{"zeros after " + name, tail(name), open, some})
	}
	for _, name := range []string{"zeros.dv", "zeros.mpg", "zeros.ts", "zeros.mxf", "zeros.avi"} {
		all = append(all, snare{"nothing but zeros in " + name, zeros(name), open, some})
	}
	return append(all,
		snare{"a pipe as sidecar", pipe("VIDEO/proresM01.XML"), open, []int{exitMeasured}},
		snare{"a pipe as XML of a card", pipe("CLIP/prores.XML"), open, []int{exitMeasured}},
		snare{"a pipe as an earlier report", pipe("report/audit.json"),
			[]string{"--curve", "slog3", "--out", "report", "."}, []int{exitUsage}},
		snare{"a pipe as a clip in a folder", pipe("pipe.mov"), open, []int{exitMeasured}},
		snare{"a pipe as a clip by name", pipe("pipe.mov"), []string{"--curve", "slog3", "pipe.mov"},
			[]int{exitSomeFailed}},
		snare{"a pipe as a curve", pipe("curve.cube"), []string{"--curve", "curve.cube", "."}, []int{exitUsage}},
		snare{"a pipe as rules", pipe("rules.toml"), []string{"--rules", "rules.toml", "."}, []int{exitUsage}},
	)
}

// tryHangs sets each snare before a run of its own, some at a time: each is measured or named within
// 35 s.
func tryHangs(s *soak, t *tally) error {
	var mu sync.Mutex
	var slowest time.Duration
	var failed error
	var wait sync.WaitGroup
	slots := make(chan bool, 3)
	for i, sn := range snares() {
		wait.Go(func() {
			slots <- true
			defer func() { <-slots }()
			folder := filepath.Join(s.dir, fmt.Sprint("snare", i))
			e, err := s.sprung(sn, folder)
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				failed = err
				return
			}
			slowest = max(slowest, e.took)
			t.snared(sn, e, folder)
		})
	}
	wait.Wait()
	t.note("the slowest took %.1f s", slowest.Seconds())
	return failed
}

// sprung runs over a snare.
func (s *soak) sprung(sn snare, folder string) (ending, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return ending{}, err
	}
	if err := sn.set(s, folder); err != nil {
		return ending{}, err
	}
	args := []string{"audit", "--quiet", "--out", folder + "-report"}
	return s.end(2*givenUp, folder, append(args, sn.args...)...), nil
}

// snared counts what came of a snare.
func (t *tally) snared(sn snare, e ending, folder string) {
	t.tried++
	right := false
	for _, c := range sn.code {
		right = right || e.code == c
	}
	switch {
	case e.took > givenUp:
		t.fault(&t.hung, "%s: %.0f s: %s", sn.name, e.took.Seconds(), e.stderr)
	case e.broke():
		t.fault(&t.crashed, "%s: %s", sn.name, e.stderr)
	case !right || e.code == exitUsage && strings.Count(e.stderr, "\n") == 0:
		t.fault(&t.wrong, "%s: exit code %d: %s", sn.name, e.code, e.stderr)
	}
	if e.code == exitUsage { // of a file that the user named
		t.named++
		return
	}
	doc, err := readDocument(folder + "-report")
	if err != nil {
		t.fault(&t.lost, "%s: %v", sn.name, err)
		return
	}
	for path := range doc.clips {
		doc.count(t, path, sn.name)
	}
	for path := range doc.reasons {
		doc.count(t, path, sn.name)
	}
	if len(doc.clips)+len(doc.reasons) == 0 {
		t.fault(&t.lost, "%s: nothing is told of it", sn.name)
	}
}

// shot is an undamaged clip by its name.
func (s *soak) shot(name string) clip {
	for _, c := range s.shots {
		if c.name == name {
			return c
		}
	}
	return clip{name: name}
}

// tail puts a clip there that is followed by zeros without end.
func tail(name string) func(*soak, string) error {
	return func(s *soak, folder string) error {
		if err := put(folder, s.shot(name)); err != nil {
			return err
		}
		return os.Truncate(filepath.Join(folder, name), endless)
	}
}

// zeros puts a file of nothing but zeros there.
func zeros(name string) func(*soak, string) error {
	return func(_ *soak, folder string) error {
		if err := put(folder, clip{name: name}); err != nil {
			return err
		}
		return os.Truncate(filepath.Join(folder, name), endless)
	}
}

// pipe puts a clip there, in VIDEO/ as cards have it, and a pipe; its name may be in a folder below.
func pipe(name string) func(*soak, string) error {
	return func(s *soak, folder string) error {
		path := filepath.Join(folder, name)
		err := put(filepath.Join(folder, "VIDEO"), s.shot("prores.mov"))
		if err == nil {
			err = os.MkdirAll(filepath.Dir(path), 0o755)
		}
		if err != nil {
			return err
		}
		return syscall.Mkfifo(path, 0o644)
	}
}
