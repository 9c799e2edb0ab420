package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"stopledger/cmd/internal/audit"
	"stopledger/decode/metadata/build"
)

// A run with a folder leaves a log in it, of audits and comparisons; a run on a disk that is too full
// is warned of, on stderr and there.
func TestLogOfARun(t *testing.T) {
	inFolder(t, "a.mov", "b.mov", "bad.mov", "alarm.mov", "other/log.txt")
	for _, c := range []struct {
		args  string
		free  int64
		known bool
		warns bool
		ends  string
	}{
		{"audit --out day a.mov bad.mov", 5e6, true, false, `measured=1 failed=1 not_reached=0 exit=3`},
		{"audit --out full a.mov b.mov", 4e6, true, true, "measured=2 failed=0 not_reached=0 exit=0"},
		{"audit --out full --no-pictures a.mov b.mov", 4e6, true, false, "exit=0"},
		{"audit --out full --gate alarm.mov bad.mov", 0, true, true, "exit=4"},
		{"compare --out takes a.mov b.mov", 0, true, true, "verb=compare"},
		{"audit --out unknown a.mov", 0, false, false, "exit=0"},
	} {
		var o, e bytes.Buffer
		a := app{measure: fakeMeasure, version: "0.0-test", stdout: &o, stderr: &e,
			free: func(string) (int64, bool) { return c.free, c.known }}
		a.run(t.Context(), strings.Fields(c.args))
		dir := strings.Fields(c.args)[2]
		log := string(build.ReadFile(t, dir+"/log.txt"))
		run := log[strings.LastIndex(log, `msg="run begins"`):]
		if !strings.Contains(run, c.ends) || !strings.Contains(run, "version=0.0-test") {
			t.Errorf("%s: %s", c.args, run)
		}
		const words = "the disk has"
		if strings.Contains(e.String(), words) != c.warns || strings.Contains(run, words) != c.warns {
			t.Errorf("%s: warned %q, log %s", c.args, e.String(), run)
		}
	}
	if code, _, stderr := call(t, fakeMeasure, "audit", "--out", "other", "a.mov"); code != exitUsage ||
		!strings.Contains(stderr, "holds log.txt, which stopledger did not write") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	if _, err := os.Stat("log.txt"); err == nil {
		t.Error("a log without a folder")
	}
}

// Failures are listed by reason, each path under it.
func TestFailuresAreGrouped(t *testing.T) {
	inFolder(t, "day/1-bad.mov", "day/2.mov", "day/3-bad.mov", "day/4-bad.mov")
	code, _, stderr := call(t, fakeMeasure, "audit", "--jobs", "1", "day")
	want := "not measured, 3 clips: the file is cut off; copy it again\n" +
		"    day/1-bad.mov\n    day/3-bad.mov\n    day/4-bad.mov\n"
	if code != exitSomeFailed || stderr != want {
		t.Errorf("exit code %d, stderr\n%s\nwant\n%s", code, stderr, want)
	}
}

// A system that does not confine workers is told by document and log; one that does by neither.
func TestConfinementIsTold(t *testing.T) {
	a := app{version: "0.0-test"}
	if got := a.measuring(); got.Unconfined != audit.Unconfined() || got.Version != a.version {
		t.Errorf("%+v, %q", got, audit.Unconfined())
	}
	a.measure = fakeMeasure
	if got := a.measuring(); got.Unconfined != "" {
		t.Errorf("without workers: %+v", got)
	}
}
