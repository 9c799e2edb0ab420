package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"stopledger/cmd/internal/audit"
	"stopledger/report"
)

const atRest = 100 * time.Millisecond // in which a clip comes to rest in these tests

// A watching is a watch under way.
type watching struct {
	t      *testing.T
	stop   context.CancelFunc
	code   chan int
	stdout lockedBuffer
	stderr lockedBuffer
}

type lockedBuffer struct {
	mu sync.Mutex
	bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.String()
}

func startWatch(t *testing.T, m audit.Measurer, args ...string) *watching {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	w := &watching{t: t, stop: stop, code: make(chan int, 1)}
	a := app{measure: m, version: "0.0-test", settle: atRest, stdout: &w.stdout, stderr: &w.stderr}
	go func() { w.code <- a.run(ctx, append([]string{"watch"}, args...)) }()
	t.Cleanup(stop)
	return w
}

// until waits for what the watch will have done.
func (w *watching) until(what string, done func() bool) {
	w.t.Helper()
	for end := time.Now().Add(10 * time.Second); !done(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			w.t.Fatalf("%s has not happened; stdout:\n%s\nstderr:\n%s", what, w.stdout.String(), w.stderr.String())
		}
	}
}

// reported waits until the report is of so many clips, and failures.
func (w *watching) reported(clips, failed int) {
	w.t.Helper()
	w.until("the report", func() bool {
		d := documentIn("out")
		return d != nil && len(d.Clips) == clips && len(d.Failed) == failed && d.Complete
	})
}

func documentIn(dir string) *report.Document {
	f, err := os.Open(filepath.Join(dir, report.AuditDocument))
	if err != nil {
		return nil
	}
	defer f.Close()
	d, err := report.ReadJSON(f)
	if err != nil {
		return nil
	}
	return d
}

// interrupt ends the watch as ^C does, and returns its exit code.
func (w *watching) interrupt() int {
	w.t.Helper()
	w.stop()
	select {
	case code := <-w.code:
		return code
	case <-time.After(10 * time.Second):
		w.t.Fatalf("it does not end; stderr:\n%s", w.stderr.String())
		return 0
	}
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// counted counts how often each clip is measured.
func counted(m audit.Measurer) (counting audit.Measurer, of func(name string) int) {
	var mu sync.Mutex
	n := map[string]int{}
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
			if j.Kept == nil { // else for its pictures only
				mu.Lock()
				n[filepath.Base(j.Path)]++
				mu.Unlock()
			}
			return m(ctx, j)
		}, func(name string) int {
			mu.Lock()
			defer mu.Unlock()
			return n[name]
		}
}

// Clips that arrive are measured once each and printed once each, in a report that is kept current; a
// watch begun again goes on where it was; a clip that is taken away leaves the report.
func TestWatch(t *testing.T) {
	inFolder(t, "card/a.mov")
	measure, times := counted(fakeMeasure)
	w := startWatch(t, measure, "--out", "out", "card")
	w.reported(1, 0)
	put(t, "card/b.mov", "b")
	put(t, "card/c-bad.mov", "c")
	w.reported(2, 1)
	if code := w.interrupt(); code != exitSomeFailed {
		t.Errorf("exit code %d", code)
	}
	out, err := w.stdout.String(), w.stderr.String()
	if strings.Count(out, "card/a.mov") != 1 || strings.Count(out, "card/b.mov") != 1 {
		t.Errorf("stdout:\n%s", out)
	}
	if strings.Count(err, "not measured: card/c-bad.mov") != 1 || strings.Contains(err, "interrupted:") {
		t.Errorf("stderr:\n%s", err)
	}

	put(t, "card/d.mov", "d")
	w = startWatch(t, measure, "--out", "out", "card")
	w.reported(3, 1)
	for _, name := range []string{"a.mov", "b.mov", "c-bad.mov", "d.mov"} {
		if times(name) != 1 {
			t.Errorf("%s was measured %d times", name, times(name))
		}
	}
	if os.Remove("card/c-bad.mov") != nil || os.Remove("card/a.mov") != nil {
		t.Fatal("not removed")
	}
	w.reported(2, 0)
	if code := w.interrupt(); code != exitMeasured {
		t.Errorf("exit code %d", code)
	}
	if out := w.stdout.String(); strings.Contains(out, "b.mov") || !strings.Contains(out, "card/d.mov") {
		t.Errorf("not only new lines:\n%s", out)
	}
}

// A clip whose copy is under way is not measured before it is whole, and what is measured is the whole
// clip.
func TestWatchWhileCopying(t *testing.T) {
	inFolder(t, "card/a.mov")
	var mu sync.Mutex
	sizes := map[string]int64{}
	w := startWatch(t, func(ctx context.Context, j audit.Job) (report.Clip, error) {
		if info, err := os.Stat(j.Path); err == nil {
			mu.Lock()
			sizes[filepath.Base(j.Path)] = info.Size()
			mu.Unlock()
		}
		return fakeMeasure(ctx, j)
	}, "--out", "out", "--quiet", "card")
	to, err := os.Create("card/b.mov")
	if err != nil {
		t.Fatal(err)
	}
	const parts, part = 20, 1000
	for range parts {
		if _, err := to.Write(make([]byte, part)); err != nil {
			t.Fatal(err)
		}
		time.Sleep(atRest / 3)
	}
	w.reported(1, 0)
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
	w.reported(2, 0)
	if code := w.interrupt(); code != exitMeasured || w.stderr.String() != "" {
		t.Errorf("exit code %d, stderr %s", code, w.stderr.String())
	}
	if sizes["b.mov"] != parts*part {
		t.Errorf("measured with %d bytes", sizes["b.mov"])
	}
}

// The end of a watch: an alarm with --gate, one document, an interruption while a clip is measured,
// and a folder in which nothing ever lay.
func TestWatchEnds(t *testing.T) {
	t.Run("alarm", func(t *testing.T) {
		inFolder(t, "card/alarm.mov", "card/bad.mov")
		w := startWatch(t, fakeMeasure, "--gate", "--format", "json", "--out", "out", "card")
		w.reported(1, 1)
		if code := w.interrupt(); code != exitAlarm {
			t.Errorf("exit code %d", code)
		}
		var doc report.Document
		d := json.NewDecoder(strings.NewReader(w.stdout.String()))
		if err := d.Decode(&doc); err != nil || len(doc.Clips) != 1 || d.Decode(&doc) != io.EOF {
			t.Errorf("%v, stdout:\n%s", err, w.stdout.String())
		}
	})
	t.Run("in the middle", func(t *testing.T) {
		inFolder(t, "card/1fast.mov")
		hanging := make(chan string, 1)
		w := startWatch(t, waiting(hanging), "--out", "out", "card")
		w.reported(1, 0)
		put(t, "card/2slow.mov", "2")
		put(t, "card/3fast.mov", "3")
		<-hanging
		if code := w.interrupt(); code != exitMeasured {
			t.Errorf("exit code %d", code)
		}
		w.reported(1, 0) // the complete one stays
		w = startWatch(t, fakeMeasure, "--out", "out", "card")
		w.reported(3, 0)
		w.interrupt()
	})
	t.Run("nothing", func(t *testing.T) {
		inFolder(t, "card/")
		w := startWatch(t, fakeMeasure, "--format", "json", "--out", "out", "card")
		w.until("the start", func() bool { return strings.Contains(w.stderr.String(), "watching card") })
		if code := w.interrupt(); code != exitMeasured || !json.Valid([]byte(w.stdout.String())) {
			t.Errorf("exit code %d, stdout %s", code, w.stdout.String())
		}
	})
}

// A report inside the watched folder does not keep the watch busy, and --fresh measures anew once.
func TestWatchReportWithin(t *testing.T) {
	inFolder(t, "card/a.mov")
	measure, times := counted(fakeMeasure)
	for run := 1; run <= 2; run++ {
		w := startWatch(t, measure, "--fresh", "--out", "card/out", "card")
		w.until("the round", func() bool { return strings.Contains(w.stderr.String(), "card/out: ") })
		time.Sleep(5 * atRest)
		more := string(rune('a' + run))
		put(t, "card/"+more+".mov", more)
		w.until("the second round", func() bool { return strings.Contains(w.stdout.String(), "card/"+more+".mov") })
		w.interrupt()
		if n := strings.Count(w.stderr.String(), "card/out: "); n > 3 {
			t.Errorf("%d rounds:\n%s", n, w.stderr.String())
		}
		if times("a.mov") != run {
			t.Errorf("measured %d times in %d runs", times("a.mov"), run)
		}
	}
}

func TestWatchMistakes(t *testing.T) {
	inFolder(t, "card/a.mov")
	for _, c := range []struct{ args, says string }{
		{"watch --out out", "name one folder"},
		{"watch --out out card card", "name one folder"},
		{"watch card", "--out is missing"},
		{"watch --out out none", "none"},
		{"watch --out out card/a.mov", "is a file"},
	} {
		code, _, stderr := call(t, fakeMeasure, strings.Fields(c.args)...)
		if code != exitUsage || !strings.Contains(stderr, c.says) {
			t.Errorf("%s: exit code %d, stderr %s", c.args, code, stderr)
		}
	}
}
