package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/disturb"
	"stopledger/cmd/internal/runlog"
	"stopledger/report"
	"stopledger/report/ledger"
)

// inChildFake has the arguments of the program as a child process, which a signal may end.
const inChildFake = "STOPLEDGER_TEST_RUN_FAKE"

func TestProgramInChild(t *testing.T) {
	a := app{measure: unhurried(fakeMeasure), version: "0.0-test", stdout: os.Stdout, stderr: os.Stderr}
	if os.Getenv(inChildFake) != "" {
		os.Exit(a.run(t.Context(), strings.Fields(os.Getenv(inChildFake))))
	}
	if os.Getenv(inChildKilled) != "" {
		a.measure = killedAt(3, fakeMeasure)
		os.Exit(a.run(t.Context(), strings.Fields(os.Getenv(inChildKilled))))
	}
}

// inChildKilled is as inChildFake, and the process is killed at its third clip.
const inChildKilled = "STOPLEDGER_TEST_RUN_KILLED"

// killedAt measures as m does until clip n, at which the process is killed.
func killedAt(n int, m audit.Measurer) audit.Measurer {
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		if n--; n == 0 {
			_ = must(os.FindProcess(os.Getpid())).Kill()
			select {}
		}
		return m(ctx, j)
	}
}

// unhurried takes some milliseconds for each clip, by its name.
func unhurried(m audit.Measurer) audit.Measurer {
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		h := fnv.New32()
		h.Write([]byte(j.Path))
		time.Sleep(time.Duration(h.Sum32()%4000) * time.Microsecond)
		return m(ctx, j)
	}
}

// inChild is the program as a child process of its own, without stdout.
func inChild(t *testing.T, kind string, args ...string) (c *exec.Cmd, stderr *bytes.Buffer) {
	t.Helper()
	c = exec.Command(must(os.Executable()), "-test.run=^TestProgramInChild$")
	stderr = &bytes.Buffer{}
	c.Env, c.Stderr = append(os.Environ(), kind+"="+strings.Join(args, " ")), stderr
	return c, stderr
}

// manyClips makes files for the fake instruments, good and bad.
func manyClips(t *testing.T, n int) {
	t.Helper()
	var names []string
	for i := range n {
		kind := []string{"clip", "alarm", "clip", "bad", "panic"}[i%5]
		names = append(names, fmt.Sprintf("card/%03d%s.mov", i, kind))
	}
	inFolder(t, names...)
}

// reportIn is all that a run writes but its ledger and its log.
func reportIn(t *testing.T, dir string) disturb.Report {
	t.Helper()
	files := must(disturb.ReadReport(dir))
	if files[ledger.FileName] == "" {
		t.Errorf("%s has no ledger", dir)
	}
	return files.WithoutTimes()
}

func sameReports(t *testing.T, about string, got, want disturb.Report) {
	t.Helper()
	for _, told := range got.Differences(want) {
		t.Errorf("%s: %s", about, told)
	}
}

func kills(everyday int) int {
	switch {
	case os.Getenv("STOPLEDGER_FULL") != "":
		return 200
	case testing.Short():
		return 1
	}
	return everyday
}

// Killed at any instant, the next run ends with the report of an undisturbed one, to the byte.
func TestKilledAudit(t *testing.T) {
	const seed = 50007
	random := rand.New(rand.NewPCG(seed, 0))
	manyClips(t, 25)
	args := []string{"audit", "--jobs", "3", "--hold-grey", "--out", "killed", "card"}
	whole := slices.Replace(slices.Clone(args), 5, 6, "whole")
	began := time.Now()
	c, stderr := inChild(t, inChildFake, whole...)
	_ = c.Run()
	takes := time.Since(began)
	if c.ProcessState.ExitCode() != exitSomeFailed {
		t.Fatalf("undisturbed: %v: %s", c.ProcessState, stderr)
	}
	want := reportIn(t, "whole")
	ended := 0
	for n := range kills(6) {
		killed, _ := inChild(t, inChildFake, args...)
		if err := killed.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration(random.Int64N(int64(takes))), func() { _ = killed.Process.Kill() })
		if _ = killed.Wait(); killed.ProcessState.Exited() {
			ended++
		}
		if n%3 > 0 { // killed again while it goes on
			continue
		}
		c, stderr := inChild(t, inChildFake, args...)
		if _ = c.Run(); c.ProcessState.ExitCode() != exitSomeFailed {
			t.Fatalf("seed %d, kill %d: %v: %s", seed, n, c.ProcessState, stderr)
		}
		sameReports(t, fmt.Sprintf("seed %d, kill %d", seed, n), reportIn(t, "killed"), want)
		if err := os.RemoveAll("killed"); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills within %v, %d of them too late", kills(6), takes, ended)
}

// A counting measurer notes which clips it was asked for.
func counting(asked *[]string) audit.Measurer {
	return func(ctx context.Context, j audit.Job) (report.Clip, error) {
		*asked = append(*asked, filepath.Base(j.Path))
		return fakeMeasure(ctx, j)
	}
}

// The same command again measures what is new or changed, by file, settings or version, and nothing
// else; the report is the same, and stdout too.
func TestOnlyWhatIsNewIsMeasured(t *testing.T) {
	inFolder(t, "day/a.mov", "day/b.mov", "day/bad.mov")
	var first string
	for _, step := range []struct {
		about string
		do    func()
		args  string
		want  []string
	}{
		{"first", func() {}, "", []string{"a.mov", "b.mov", "bad.mov"}},
		{"again", func() {}, "", nil},
		{"derived differently", func() {}, "--target 1 --hold-grey", nil},
		{"a clip more", func() { touch(t, "day/c.mov", "not empty") }, "", []string{"c.mov"}},
		{"one less", func() { os.Remove("day/c.mov") }, "", nil},
		{"other content of one", func() { touch(t, "day/b.mov", "no longer") }, "", []string{"b.mov"}},
		{"other content of a bad one", func() { touch(t, "day/bad.mov", "no longer") }, "", []string{"bad.mov"}},
		{"touched", func() { touch(t, "day/a.mov", "not empty") }, "", []string{"a.mov"}},
		{"XML beside it", func() { touch(t, "day/aM01.XML", "<x/>") }, "", []string{"a.mov"}},
		{"other settings", func() {}, "--curve vlog", []string{"a.mov", "b.mov", "bad.mov"}},
		{"settings of before", func() {}, "", nil},
		{"fresh", func() {}, "--fresh", []string{"a.mov", "b.mov", "bad.mov"}},
		{"again after that", func() {}, "", nil},
	} {
		step.do()
		var asked []string
		args := strings.Fields("audit --jobs 1 --no-pictures --out report " + step.args + " day")
		code, stdout, stderr := call(t, counting(&asked), args...)
		if code != exitSomeFailed || !slices.Equal(asked, step.want) {
			t.Errorf("%s: measured %q, want %q; exit code %d: %s", step.about, asked, step.want, code, stderr)
		}
		if first == "" {
			first = stdout
		}
		if step.args == "" && step.about != "a clip more" && stdout != first {
			t.Errorf("%s: printed\n%s\nnot\n%s", step.about, stdout, first)
		}
		page := filepath.Join("report", filepath.FromSlash(report.ClipPage("day/c.mov")))
		if (step.about == "a clip more") != isThere(page) {
			t.Errorf("%s: there is the page of a clip that is gone, or none of one that is there", step.about)
		}
	}
	var asked []string
	var o, e bytes.Buffer
	a := app{measure: counting(&asked), version: "0.1-test", stdout: &o, stderr: &e}
	if a.run(t.Context(), []string{"audit", "--no-pictures", "--out", "report", "day"}); len(asked) != 3 {
		t.Errorf("by another version: measured %q", asked)
	}
}

func isThere(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// touch writes a file, at a time of its own.
func touch(t *testing.T, path, content string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
	touched = touched.Add(time.Second)
	if err := os.Chtimes(path, touched, touched); err != nil {
		t.Fatal(err)
	}
}

var touched = time.Unix(1_700_000_000, 0)

// completeness is what a report says of itself.
func completeness(t *testing.T, dir string) (complete bool, clips int) {
	t.Helper()
	var doc struct {
		Complete bool
		Clips    []struct{}
	}
	b, err := os.ReadFile(filepath.Join(dir, "audit.json"))
	if err == nil {
		err = json.Unmarshal(b, &doc)
	}
	if err != nil {
		t.Fatal(err)
	}
	return doc.Complete, len(doc.Clips)
}

// interrupted audits until a number of clips was measured, then is interrupted.
func interrupted(t *testing.T, after int, args ...string) (code int, stderr string) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	measured := 0
	var o, e bytes.Buffer
	a := app{version: "0.0-test", stdout: &o, stderr: &e}
	a.measure = func(c context.Context, j audit.Job) (report.Clip, error) {
		if measured == after {
			cancel()
			return report.Clip{}, c.Err()
		}
		measured++
		return fakeMeasure(c, j)
	}
	code = a.run(ctx, append([]string{"audit", "--jobs", "1", "--no-pictures", "--out", "report"}, args...))
	return code, e.String()
}

// A poorer report never replaces a fuller one; what was measured is kept all the same.
func TestPoorerReportReplacesNoFullerOne(t *testing.T) {
	inFolder(t, "a.mov", "b.mov", "c.mov", "d.mov", "e.mov")
	check := func(about string, complete bool, clips int) {
		t.Helper()
		if c, n := completeness(t, "report"); c != complete || n != clips {
			t.Errorf("%s: the report is complete: %v, of %d clips", about, c, n)
		}
	}
	if code, stderr := interrupted(t, 2, "a.mov", "b.mov", "c.mov", "d.mov"); code != exitInterrupted {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	check("first", false, 2)
	if _, stderr := interrupted(t, 1, "--curve", "vlog", "a.mov", "b.mov"); !strings.Contains(stderr, "it is fuller") {
		t.Errorf("of fewer clips: %s", stderr)
	}
	check("of fewer clips", false, 2)
	interrupted(t, 1, "a.mov", "b.mov", "c.mov", "d.mov")
	check("of more", false, 3)
	if code, _, stderr := call(t, fakeMeasure, "audit", "--out", "report", "a.mov"); code != exitMeasured {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	check("complete", true, 1)
	code, stderr := interrupted(t, 1, "a.mov", "b.mov", "c.mov", "d.mov", "e.mov")
	if code != exitInterrupted || !strings.Contains(stderr, "the report in report stays") {
		t.Errorf("interrupted after a complete one: exit code %d: %s", code, stderr)
	}
	check("interrupted after a complete one", true, 1)
	var asked []string
	call(t, counting(&asked), "audit", "--no-pictures", "--out", "report", "a.mov", "b.mov", "c.mov", "d.mov", "e.mov")
	if check("complete again", true, 5); !slices.Equal(asked, []string{"e.mov"}) {
		t.Errorf("measured %q", asked)
	}
}

// A second run on the folder of another ends with exit code 1 and touches nothing.
func TestTwoRunsOnAFolder(t *testing.T) {
	inFolder(t, "a.mov", "b.mov")
	begun, go1 := make(chan bool), make(chan bool)
	ended := make(chan int)
	go func() {
		code, _, _ := call(t, func(ctx context.Context, j audit.Job) (report.Clip, error) {
			begun <- true
			<-go1
			return fakeMeasure(ctx, j)
		}, "audit", "--jobs", "1", "--out", "report", "a.mov")
		ended <- code
	}()
	<-begun
	for _, args := range []string{"audit --out report b.mov", "compare --out report a.mov b.mov", "show report"} {
		code, stdout, stderr := call(t, fakeMeasure, strings.Fields(args)...)
		if code != exitBroken || !strings.Contains(stderr, "another run of stopledger writes this folder") || stdout != "" {
			t.Errorf("%s: exit code %d: %s%s", args, code, stdout, stderr)
		}
	}
	go1 <- true
	if code := <-ended; code != exitMeasured {
		t.Errorf("the first: exit code %d", code)
	}
	if _, clips := completeness(t, "report"); clips != 1 {
		t.Errorf("%d clips", clips)
	}
}

// A database that is no ledger is refused by its name, and left alone.
func TestForeignDatabase(t *testing.T) {
	inFolder(t, "a.mov", "report/"+ledger.FileName)
	code, _, stderr := call(t, fakeMeasure, "audit", "--out", "report", "a.mov")
	if code != exitUsage || !strings.Contains(stderr, "report/ledger.sqlite: it is a database that stopledger did not") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	b, err := os.ReadFile("report/" + ledger.FileName)
	if err != nil || string(b) != "not empty" || isThere("report/audit.json") {
		t.Errorf("it holds %q: %v", b, err)
	}
}

// What a killed run left half written is swept; what is not ours stays.
func TestLitterIsSwept(t *testing.T) {
	inFolder(t, "a.mov", "report/.audit.json.123.part", "report/clips/.x.html.9.part", "report/.notes.part",
		"report/.stopledger.77.part-journal",
		"report/pictures/x-0123456789-abcdef-thumb.jpg", "report/pictures/holiday.jpg",
		"report/clips/gone-0123456789.html")
	if code, _, stderr := call(t, fakeMeasure, "audit", "--out", "report", "a.mov"); code != exitMeasured {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	var left []string
	for name := range must(disturb.ReadReport("report")) {
		left = append(left, name)
	}
	slices.Sort(left)
	want := []string{".notes.part", "audit.csv", "audit.json", "audit.txt", report.ClipPage("a.mov"), "index.html",
		ledger.FileName, runlog.Name, "pictures/holiday.jpg"}
	if !slices.Equal(left, want) {
		t.Errorf("left: %q\nwant: %q", left, want)
	}
}

// The pages are written anew from the ledger, also where audit.json is gone.
func TestShowFromTheLedger(t *testing.T) {
	manyClips(t, 5)
	call(t, fakeMeasure, "audit", "--out", "report", "card")
	want := must(disturb.ReadReport("report"))
	for _, name := range []string{"index.html", "audit.json"} {
		if err := os.Remove(filepath.Join("report", name)); err != nil {
			t.Fatal(err)
		}
	}
	if code, _, stderr := call(t, fakeMeasure, "show", "report"); code != exitMeasured {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	if got := must(disturb.ReadReport("report")); got["index.html"] != want["index.html"] {
		t.Error("the index is not as it was")
	}
}
