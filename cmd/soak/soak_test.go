//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// What is wrong is counted as what it is, and told.
func TestFaultsAreCounted(t *testing.T) {
	d := document{clips: map[string]string{"a.mov": "{}"}, parts: map[string]bool{"b.mov": true},
		reasons: map[string]string{"c.mov": "the file is cut off", "d.mov": "the process crashed while opening it",
			"e.mov": " "}}
	var said strings.Builder
	c := &tally{part: "test", out: &said}
	for _, path := range []string{"a.mov", "b.mov", "c.mov", "d.mov", "e.mov", "f.mov"} {
		d.count(c, path, path)
	}
	for _, e := range []ending{{code: exitMeasured}, {code: exitSomeFailed}, {code: exitBroken}, {code: -1, hung: true},
		{code: exitSomeFailed, stderr: "a.mov: the program broke"}} {
		c.checkEnding(e, "run")
	}
	got := *c
	if got.measured != 2 || got.named != 1 || got.lost != 2 || got.crashed != 2 || got.hung != 1 || got.wrong != 1 {
		t.Errorf("%v", c)
	}
	if c.faults() != 6 || strings.Count(said.String(), "\n") != 6 {
		t.Errorf("%d faults, told as\n%s", c.faults(), &said)
	}
}

// A snare whose run takes too long hangs; one that says nothing loses its file.
func TestSnaresAreCounted(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "snare")
	if err := os.MkdirAll(folder+"-report", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder+"-report", "audit.json"), []byte("{}"), 0o644); err != nil {
		t.Fatal(err)
	}
	c := &tally{out: new(strings.Builder)}
	sn := snare{name: "snare", code: []int{exitSomeFailed}}
	c.snared(sn, ending{code: exitSomeFailed, took: givenUp + time.Second}, folder)
	c.snared(sn, ending{code: exitMeasured}, folder)
	if c.tried != 2 || c.hung != 1 || c.wrong != 1 || c.lost != 2 {
		t.Errorf("%v", c)
	}
}

func TestPartsNamed(t *testing.T) {
	all, err := partsNamed("")
	if err != nil || len(all) != len(parts) {
		t.Errorf("%d parts, %v", len(all), err)
	}
	some, err := partsNamed("hangs,kills")
	if err != nil || len(some) != 2 || some[0].name != "hangs" {
		t.Errorf("%d parts, %v", len(some), err)
	}
	if _, err := partsNamed("none"); err == nil {
		t.Error("a part that is not there is chosen")
	}
}

// The memory of this process is known.
func TestShare(t *testing.T) {
	if got := share(os.Getpid()); got < 1<<20 || got > 4<<30 {
		t.Errorf("%d bytes", got)
	}
	if got := share(1 << 30); got != 0 {
		t.Errorf("%d bytes of a process that is not there", got)
	}
}
