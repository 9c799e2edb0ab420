package card

import (
	"context"
	"os"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

func touch(t *testing.T, name, content string) {
	t.Helper()
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteString(content); err != nil {
		t.Fatal(err)
	}
}

// A clip changes when it grows, when its time does, when it is gone, and a sequence when a picture
// follows.
func TestChanged(t *testing.T) {
	for name, change := range map[string]func(t *testing.T){
		"grows":    func(t *testing.T) { touch(t, "d/a.mov", "more") },
		"touched":  func(t *testing.T) { os.Chtimes("d/a.mov", time.Time{}, time.Unix(1e9, 0)) },
		"gone":     func(t *testing.T) { os.Remove("d/a.mov") },
		"replaced": func(t *testing.T) { os.Remove("d/a.mov"); touch(t, "d/a.mov", "short") },
	} {
		t.Run(name, func(t *testing.T) {
			inFolder(t, "d/a.mov", "d/b.mov")
			l := find(t, "d")
			change(t)
			if !l.Entries[0].Changed() || l.Entries[1].Changed() {
				t.Errorf("the first changed: %v, the second: %v", l.Entries[0].Changed(), l.Entries[1].Changed())
			}
		})
	}
}

func TestSequenceThatGrows(t *testing.T) {
	inFolder(t, "d/a.1.dpx", "d/a.2.dpx", "d/a.3.dpx")
	e := find(t, "d").Entries[0]
	if e.Changed() {
		t.Error("it changed at rest")
	}
	makeFile(t, "d/a.4.dpx")
	makeFile(t, "d/a.5.dpx")
	if !e.Changed() {
		t.Error("pictures that follow are no change")
	}
	if err := settleAtOnce(t, &e, nil); err != nil || e.Name != "d/a.[1-5].dpx" || e.Changed() {
		t.Errorf("%v, %s", err, e.Name)
	}
}

// settleAtOnce settles an entry in a bubble of time, with something done while it waits.
func settleAtOnce(t *testing.T, e *Entry, meanwhile func()) (err error) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		if meanwhile != nil {
			time.AfterFunc(Settling/2, meanwhile)
		}
		err = e.Settle(context.Background())
	})
	return err
}

// A clip that is copied while the run goes on is measured as it then is; one that grows still is an
// error that says so.
func TestSettle(t *testing.T) {
	inFolder(t, "a.mov")
	e := find(t, "a.mov").Entries[0]
	touch(t, "a.mov", "more")
	if err := settleAtOnce(t, &e, nil); err != nil || e.Changed() {
		t.Errorf("at rest again: %v", err)
	}
	err := settleAtOnce(t, &e, func() { touch(t, "a.mov", "more") })
	if err == nil || !strings.Contains(err.Error(), "still being written; measure it again when") {
		t.Errorf("growing still: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := e.Settle(ctx); err != context.Canceled {
		t.Errorf("interrupted: %v", err)
	}
}
