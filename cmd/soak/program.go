//go:build linux

package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Exit codes of the program that this soak expects.
const (
	exitMeasured   = 0
	exitBroken     = 1
	exitUsage      = 2
	exitSomeFailed = 3
)

// A soak is what its parts share.
type soak struct {
	program string // the path of the program, built for this soak alone
	dir     string // of everything that is made
	shots   []clip // undamaged
	mutants int
	seed    uint64 // the first
	out     io.Writer
}

// patience is how long a run over a few small clips may take on a busy machine.
const patience = 5 * time.Minute

// An ending is what came of one run of the program.
type ending struct {
	code           int // -1 where a signal ended it
	stdout, stderr string
	took           time.Duration
	hung           bool // it was given up
}

// broke tells whether the program itself broke.
func (e ending) broke() bool {
	for _, sign := range []string{"the program broke", "panic: ", "fatal error: ", "SIGSEGV"} {
		if strings.Contains(e.stderr, sign) {
			return true
		}
	}
	return false
}

// call is a run of the program that has not begun. It works in a folder.
func (s *soak) call(ctx context.Context, folder string, args ...string) *exec.Cmd {
	c := exec.CommandContext(ctx, s.program, args...)
	c.Dir = folder
	return c
}

// end runs the program to its end, or until it is given up.
func (s *soak) end(within time.Duration, folder string, args ...string) ending {
	ctx, cancel := context.WithTimeout(context.Background(), within)
	defer cancel()
	c := s.call(ctx, folder, args...)
	var stdout, stderr bytes.Buffer
	c.Stdout, c.Stderr, c.WaitDelay = &stdout, &stderr, 5*time.Second
	began := time.Now()
	err := c.Run()
	e := ending{code: -1, stdout: stdout.String(), stderr: stderr.String(), took: time.Since(began),
		hung: ctx.Err() != nil}
	if c.ProcessState != nil {
		e.code = c.ProcessState.ExitCode()
	} else {
		e.stderr += err.Error()
	}
	return e
}

// processes are those that run the program, workers too, of this soak alone: its path is no other's.
func (s *soak) processes() (ids []int) {
	found, _ := filepath.Glob("/proc/[0-9]*/exe")
	for _, exe := range found {
		if path, err := os.Readlink(exe); err == nil && path == s.program {
			if id, err := strconv.Atoi(strings.Split(exe, "/")[2]); err == nil {
				ids = append(ids, id)
			}
		}
	}
	return ids
}

// left are processes that have outlived their run by more than a few seconds.
func (s *soak) left() (ids []int) {
	for range 50 {
		if ids = s.processes(); len(ids) == 0 {
			return nil
		}
		time.Sleep(100 * time.Millisecond)
	}
	return ids
}
