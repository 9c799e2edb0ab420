package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/report"
)

// A waiting measurer finishes the clips whose names say "fast" and hangs on the others until its
// context ends.
func waiting(hanging chan<- string) measurer {
	return func(ctx context.Context, path string, s auditSettings) (report.Clip, analyze.Stills, error) {
		if strings.Contains(path, "fast") {
			return fakeMeasure(ctx, path, s)
		}
		hanging <- path
		<-ctx.Done()
		return report.Clip{}, analyze.Stills{}, ctx.Err()
	}
}

// The first signal ends the work in hand; what was finished is printed and written, the rest is
// counted, and the exit code is 130.
func TestFirstSignal(t *testing.T) {
	inFolder(t, "1fast.mov", "2bad-fast.mov", "3slow.mov", "4fast.mov", "5slow.mov", "6fast.mov")
	for _, format := range []string{"text", "json"} {
		signals := make(chan os.Signal)
		ctx, stop := interruptible(t.Context(), signals, func(int) { t.Error("quit after one signal") })
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
		for _, part := range []string{"interrupted: 2 of 6 clips were measured", "interrupt again", "not measured: 2bad-fast.mov"} {
			if !strings.Contains(stderr.String(), part) {
				t.Errorf("%s: stderr does not say %q:\n%s", format, part, stderr.String())
			}
		}
		if strings.Contains(stdout.String(), "slow") || !strings.Contains(stdout.String(), "4fast.mov") {
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

func TestSecondSignal(t *testing.T) {
	signals, quit := make(chan os.Signal), make(chan int)
	ctx, stop := interruptible(t.Context(), signals, func(code int) { quit <- code })
	defer stop()
	signals <- os.Interrupt
	<-ctx.Done()
	signals <- os.Interrupt
	if code := <-quit; code != exitInterrupted {
		t.Errorf("exit code %d", code)
	}
}

func TestNoSignal(t *testing.T) {
	ctx, stop := interruptible(t.Context(), nil, func(int) { t.Error("quit") })
	if ctx.Err() != nil {
		t.Error(ctx.Err())
	}
	stop()
	<-ctx.Done()
}
