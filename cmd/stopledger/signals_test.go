package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"strings"
	"testing"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/terminal"
	"stopledger/report"
)

// A waiting measurer finishes the clips whose names say "fast" and hangs on the others until its
// context ends.
func waiting(hanging chan<- string) audit.Measurer {
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		if strings.Contains(j.Path, "fast") {
			return fakeMeasure(ctx, j)
		}
		hanging <- j.Path
		<-ctx.Done()
		return report.Clip{}, ctx.Err()
	}
}

// The first signal ends the work in hand; what was finished is printed and written, the rest is
// counted, and the exit code is 130.
func TestFirstSignal(t *testing.T) {
	inFolder(t, "1fast.mov", "2bad-fast.mov", "3slow.mov", "4fast.mov", "5slow.mov", "6fast.mov")
	for _, format := range []string{"text", "json"} {
		signals := make(chan os.Signal)
		ctx, stop := terminal.Interruptible(t.Context(), signals, func() { t.Error("quit after one signal") })
		hanging := make(chan string)
		go func() {
			<-hanging // 3slow, while 4fast may be through
			<-hanging // 5slow
			signals <- os.Interrupt
		}()
		var stdout, stderr bytes.Buffer
		a := app{measure: waiting(hanging), version: "0.0-test", stdout: &stdout, stderr: &stderr}
		code := a.run(ctx, []string{"audit", "--jobs", "2", "--format", format, "--out", "out", "."})
		stop()
		if code != exitInterrupted {
			t.Errorf("%s: exit code %d", format, code)
		}
		for _, part := range []string{"interrupted: 2 of 6 clips were measured", "interrupt again",
			"not measured: 2bad-fast.mov"} {
			if !strings.Contains(stderr.String(), part) {
				t.Errorf("%s: stderr does not say %q:\n%s", format, part, stderr.String())
			}
		}
		measured, missed, _ := strings.Cut(stdout.String(), `"complete": false`)
		if (format == "json") != strings.Contains(missed, "slow") {
			t.Errorf("%s: not reached: %s", format, missed)
		}
		if strings.Contains(measured, "slow") || !strings.Contains(stdout.String(), "4fast.mov") {
			t.Errorf("%s: stdout:\n%s", format, stdout.String())
		}
		written, err := os.ReadFile("out/audit.json")
		if err != nil {
			t.Fatal(err)
		}
		var doc report.Document
		if err := json.Unmarshal(written, &doc); err != nil || len(doc.Clips) != 2 || len(doc.Failed) != 1 {
			t.Errorf("%s: %v; %d clips, %d failed", format, err, len(doc.Clips), len(doc.Failed))
		}
		os.RemoveAll("out")
	}
}

// When what reads the output ends before the audit does, as head does, the report is written all
// the same. The signal ends a process, so the program runs in one of its own.
func TestReaderThatLeaves(t *testing.T) {
	const inChild = "STOPLEDGER_TEST_READER_LEFT"
	if os.Getenv(inChild) != "" {
		a := app{measure: fakeMeasure, stdout: os.Stdout, stderr: os.Stderr}
		os.Exit(a.run(t.Context(), []string{"audit", "--out", "day", "a.mov", "b.mov"}))
	}
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	inFolder(t, "a.mov", "b.mov")
	reader, writer, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	reader.Close()
	defer writer.Close()
	var stderr bytes.Buffer
	child := exec.Command(program, "-test.run=^TestReaderThatLeaves$")
	child.Env, child.Stdout, child.Stderr = append(os.Environ(), inChild+"=1"), writer, &stderr
	_ = child.Run()
	if code := child.ProcessState.ExitCode(); code != exitBroken ||
		!strings.Contains(stderr.String(), "the report is in day") {
		t.Errorf("exit code %d: %s", code, stderr.String())
	}
	if _, err := os.Stat("day/index.html"); err != nil {
		t.Error(err)
	}
}
