package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"stopledger/cmd/internal/audit"
	"stopledger/decode"
	"stopledger/report"
)

// inChildMany is how many clips a child process audits.
const inChildMany = "STOPLEDGER_TEST_MANY"

// repeating measures one clip and says the same of all: with all that a measurement holds.
func repeating(ctx context.Context, path string, j audit.Job) audit.Measurer {
	clip := must(decode.Open(path))
	defer clip.Close()
	m, _, err := audit.MeasureClip(ctx, clip, j.Settings, func(float64) {})
	if err != nil {
		panic(err)
	}
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		one := *m
		one.Info.Path = j.Path
		return j.Finish(ctx, &one)
	}
}

// Memory grows by less than a clip's whole document for each.
func TestMemoryOfManyClips(t *testing.T) {
	if n, err := strconv.Atoi(os.Getenv(inChildMany)); err == nil {
		auditMany(t, n)
		return
	}
	if os.Getenv("STOPLEDGER_FULL") == "" {
		t.Skip("takes minutes; set STOPLEDGER_FULL")
	}
	many := []int{100, 1000, 5000}
	t.Chdir(t.TempDir())
	take{curve: "S-Log3", stops: 1}.record(t, "clip.mp4")
	peak := map[int]int{}
	for _, n := range many {
		c, stderr := inChild(t, inChildMany, strconv.Itoa(n))
		c.Args[1] = "-test.run=^TestMemoryOfManyClips$"
		out, err := c.Output()
		if err != nil {
			t.Fatalf("%v: %s%s", err, out, stderr)
		}
		_, said, _ := strings.Cut(string(out), "peak ")
		peak[n], _ = strconv.Atoi(strings.Fields(said + " 0")[0])
		t.Logf("peak of %d clips %d MB", n, peak[n]>>10)
		const more = 6 // kB a clip: its row of the index, what became of it, what is not collected yet
		if peak[n] == 0 || peak[n] > peak[many[0]]+more*(n-many[0]) {
			t.Error("memory grows with the clips")
		}
	}
}

func auditMany(t *testing.T, n int) {
	var names []string
	dir := fmt.Sprint("many", n)
	for i := range n {
		names = append(names, filepath.Join(dir, fmt.Sprintf("A%05d.mov", i)))
	}
	for _, name := range names {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var measure audit.Measurer
	debug.SetGCPercent(30) // as main does
	a := app{version: "0.0-test", stdout: io.Discard, stderr: os.Stderr}
	a.measure = func(ctx context.Context, j audit.Job) (report.Clip, error) {
		if measure == nil {
			measure = repeating(ctx, "clip.mp4", j)
		}
		return measure(ctx, j)
	}
	code := a.run(t.Context(), []string{"audit", "--jobs", "1", "--curve", "slog3", "--region", takeCard, "--quiet",
		"--no-pictures", "--out", dir + "-report", dir})
	status, err := os.ReadFile("/proc/self/status")
	_, kB, found := strings.Cut(string(status), "VmHWM:")
	if code != exitMeasured || err != nil || !found {
		t.Fatalf("exit code %d, %v", code, err)
	}
	fmt.Println("peak", strings.Fields(kB)[0])
}
