package runlog

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"stopledger/analyze"
	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/report"
)

// lines are those of a folder's log. Each begins with a time as RFC 3339 has it.
func lines(t *testing.T, dir string) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, Name))
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	for _, line := range all {
		stamp, _, _ := strings.Cut(strings.TrimPrefix(line, "time="), " ")
		if _, err := time.Parse(time.RFC3339, stamp); err != nil || !strings.HasPrefix(line, "time=") {
			t.Errorf("%q: %v", line, err)
		}
	}
	return all
}

// Every end of a clip is told, many at a time, a line each; a second run goes on in the same file.
func TestLog(t *testing.T) {
	dir := t.TempDir()
	for range 2 {
		l, err := Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		l.Begin("audit", "0.1", analyze.Settings{HoldGrey: true}, []card.Entry{{Path: "a.mov"}, {Name: "no folder",
			Err: errors.New("there is nothing")}})
		l.Warn("little room")
		ctx, cancel := context.WithCancel(t.Context())
		var clips sync.WaitGroup
		for path, err := range map[string]error{"a.mov": nil, "b mov\n.mov": errors.New("it is cut\noff"),
			"c.mov": &audit.PictureError{Path: "c.mov", Err: errors.New("the disk is full")}} {
			clips.Go(func() {
				measure := l.Around(func(context.Context, audit.Job) (report.Clip, error) { return report.Clip{}, err })
				if _, got := measure(ctx, audit.Job{Path: path}); got != err {
					t.Errorf("%v instead of %v", got, err)
				}
			})
		}
		clips.Wait()
		cancel()
		l.Around(func(ctx context.Context, _ audit.Job) (report.Clip, error) { return report.Clip{}, ctx.Err() })(ctx,
			audit.Job{Path: "d.mov"})
		func() {
			defer func() {
				if recover() == nil {
					t.Error("the panic is lost")
				}
			}()
			l.Around(func(context.Context, audit.Job) (report.Clip, error) { panic("broken") })(ctx, audit.Job{Path: "e.mov"})
		}()
		if err := l.End(&report.Document{NotReached: []string{"d.mov"}}, 130, errors.New("interrupted")); err != nil {
			t.Error(err)
		}
	}
	all := lines(t, dir)
	if len(all) != 2*(3+2*5+1) {
		t.Errorf("%d lines: %s", len(all), strings.Join(all, "\n"))
	}
	for _, line := range []string{
		`level=INFO msg="run begins" tool=stopledger version=0.1 verb=audit clips=2 settings="{.*\\"hold_grey\\":true.*}"`,
		`level=ERROR msg="no clip" path="no folder" error="there is nothing"`,
		`level=WARN msg="little room"`,
		`level=INFO msg="clip begins" path=a.mov`,
		`level=INFO msg="clip measured" path=a.mov seconds=0(\.\d+)? do="no advice" level=""`,
		`level=ERROR msg="clip failed" path="b mov\\n.mov" seconds=\S+ error="it is cut\\noff"`,
		`level=WARN msg="clip measured, pictures not written" path=c.mov .* error="the disk is full"`,
		`level=WARN msg="clip left" path=d.mov`,
		`level=ERROR msg="clip broke the program" path=e.mov`,
		`level=INFO msg="run ends" seconds=\S+ measured=0 failed=0 not_reached=1 exit=130 outcome=interrupted`,
	} {
		n := 0
		for _, have := range all {
			if regexp.MustCompile("^time=\\S+ " + line).MatchString(have) {
				n++
			}
		}
		if n != 2 {
			t.Errorf("%s: %d times in\n%s", line, n, strings.Join(all, "\n"))
		}
	}
}

// A file of other origin is not written into, and one that was left empty is.
func TestForeignLog(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, Name)
	if err := os.WriteFile(path, []byte("shot list\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir); err == nil || !strings.Contains(err.Error(), "which stopledger did not write") {
		t.Error(err)
	}
	if text, _ := os.ReadFile(path); string(text) != "shot list\n" {
		t.Errorf("%q", text)
	}
	if err := os.Truncate(path, 0); err != nil {
		t.Fatal(err)
	}
	l, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	l.file.Close() // as if the disk were gone
	l.Warn("lost")
	if err := l.End(&report.Document{}, 0, nil); err == nil ||
		!strings.Contains(err.Error(), "the log cannot be written") {
		t.Errorf("a lost line: %v", err)
	}
	if _, err := Open(filepath.Join(dir, "none")); err == nil {
		t.Error("no folder")
	}
}

// Without a log nothing is written and nothing changes.
func TestNoLog(t *testing.T) {
	var l *Log
	l.Begin("audit", "", analyze.Settings{}, nil)
	l.Warn("nothing")
	measure := l.Around(func(context.Context, audit.Job) (report.Clip, error) { return report.Clip{}, errors.New("x") })
	if _, err := measure(t.Context(), audit.Job{}); err == nil || l.End(nil, 0, nil) != nil {
		t.Error(err)
	}
}
