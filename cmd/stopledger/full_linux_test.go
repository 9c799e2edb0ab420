package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"stopledger/cmd/internal/runlog"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/ledger"
)

// dayOfTakes records some small clips into card/, of which the second shows no card, and returns the
// arguments of an audit of them.
func dayOfTakes(t *testing.T) (args []string) {
	t.Helper()
	t.Chdir(t.TempDir())
	if err := os.Mkdir("card", 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range 4 {
		take{curve: "S-Log3", stops: curve.Stops(i) / 2, frames: 30}.record(t, fmt.Sprintf("card/A%03d.mp4", i))
	}
	touch(t, "card/bad.mov", "no clip")
	return []string{"audit", "--quiet", "--curve", "slog3", "--region", takeCard, "--hold-grey", "--jobs", "2", "card",
		"--out"}
}

// Killed at any instant while clips are measured, pictures taken and pages written, the next run ends
// with the report of an undisturbed one.
func TestKilledAuditOfClips(t *testing.T) {
	if os.Getenv("STOPLEDGER_FULL") == "" {
		t.Skip("takes minutes; set STOPLEDGER_FULL")
	}
	const seed = 50021
	random := rand.New(rand.NewPCG(seed, 0))
	args := dayOfTakes(t)
	c, stderr := inChild(t, inChildReal, append(args, "whole")...)
	began := time.Now()
	if _ = c.Run(); c.ProcessState.ExitCode() != exitSomeFailed {
		t.Fatalf("undisturbed: %v: %s", c.ProcessState, stderr)
	}
	takes, want := time.Since(began), reportIn(t, "whole")
	late := 0
	for n := range 200 {
		killed, _ := inChild(t, inChildReal, append(args, "killed")...)
		if err := killed.Start(); err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Duration(random.Int64N(int64(takes))), func() { _ = killed.Process.Kill() })
		if _ = killed.Wait(); killed.ProcessState.Exited() {
			late++
		}
		if n%2 == 1 {
			continue
		}
		c, stderr := inChild(t, inChildReal, append(args, "killed")...)
		if _ = c.Run(); c.ProcessState.ExitCode() != exitSomeFailed {
			t.Fatalf("kill %d: %v: %s", n, c.ProcessState, stderr)
		}
		sameReports(t, fmt.Sprintf("seed %d, kill %d", seed, n), reportIn(t, "killed"), want)
		if random.IntN(3) > 0 {
			os.RemoveAll("killed")
		}
	}
	t.Logf("200 kills within %v, %d of them too late", takes, late)
}

// With a disk that is full at any size, a run says so, leaves nothing half written, and has numbers
// before pictures; with room the same command ends with the report of an undisturbed run.
func TestFullDisk(t *testing.T) {
	if os.Getenv("STOPLEDGER_FULL") == "" || os.Getuid() != 0 {
		t.Skip("takes a minute and mounts file systems; set STOPLEDGER_FULL and be root")
	}
	args := dayOfTakes(t)
	if code, _, stderr := program(t, append(args, "whole")...); code != exitSomeFailed {
		t.Fatalf("undisturbed: exit code %d: %s", code, stderr)
	}
	want := reportIn(t, "whole")
	size := 0
	for _, content := range filesBelow(t, "whole") {
		size += len(content)
	}
	ends := map[int]int{}
	for at := 16 << 10; at < size*3/2; at += size/40 + 4096 {
		disk, err := filepath.Abs(fmt.Sprintf("disk%d", at))
		if err != nil {
			t.Fatal(err)
		}
		mount(t, disk, at, 0)
		out := filepath.Join(disk, "report")
		code, _, stderr := program(t, append(args, out)...)
		ends[code]++
		if code != exitSomeFailed && code != exitBroken || code == exitBroken && !strings.Contains(stderr, "no space left") &&
			!strings.Contains(stderr, "there is no room") {
			t.Errorf("%d bytes: exit code %d: %s", at, code, stderr)
		}
		checkNumbersFirst(t, out, at)
		mount(t, disk, 4*size, syscall.MS_REMOUNT)
		if code, _, stderr := program(t, append(args, out)...); code != exitSomeFailed {
			t.Errorf("%d bytes, with room: exit code %d: %s", at, code, stderr)
		}
		sameReports(t, fmt.Sprintf("%d bytes, with room", at), reportIn(t, out), want)
		if err := syscall.Unmount(disk, 0); err != nil {
			t.Error(err)
		}
	}
	t.Logf("a report of %d bytes; exit codes %v", size, ends)
}

func mount(t *testing.T, disk string, size int, flags uintptr) {
	t.Helper()
	err := os.MkdirAll(disk, 0o755)
	if err == nil {
		err = syscall.Mount("tmpfs", disk, "tmpfs", flags, fmt.Sprintf("size=%d", size))
	}
	if err != nil {
		t.Fatal(err)
	}
	if flags == 0 {
		t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	}
}

// checkNumbersFirst fails where a folder has a picture and lacks a number, or holds half a file.
func checkNumbersFirst(t *testing.T, out string, at int) {
	t.Helper()
	if !isThere(out) {
		return
	}
	files := filesBelow(t, out)
	pictures := false
	for name, content := range files {
		pictures = pictures || strings.HasPrefix(name, report.PictureFolder)
		if strings.HasSuffix(name, ".part") || content == "" && name != runlog.Name && name != ledger.FileName+"-wal" {
			t.Errorf("%d bytes: %s is left with %d bytes", at, name, len(content))
		}
	}
	if !pictures {
		return
	}
	for _, name := range []string{"audit.json", "audit.csv", "audit.txt", ledger.FileName} {
		if files[name] == "" {
			t.Errorf("%d bytes: there are pictures, and no %s", at, name)
		}
	}
	if complete, clips := completeness(t, out); !complete || clips != 4 {
		t.Errorf("%d bytes: there are pictures, and the report is complete: %v, of %d clips", at, complete, clips)
	}
}
