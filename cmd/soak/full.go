//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"stopledger/cmd/internal/disturb"
	"stopledger/cmd/internal/runlog"
	"stopledger/report"
	"stopledger/report/ledger"
)

// tryFull writes the report on disks of every size of a sweep, most of them too small. A run says that
// there is no room, leaves nothing half written, and has numbers before pictures; with room the same
// command ends with the report of an undisturbed run.
func tryFull(s *soak, t *tally) error {
	if os.Getuid() != 0 {
		return fmt.Errorf("it mounts file systems: be root, or leave it out with -only")
	}
	folder, want, _, err := s.day("full")
	if err != nil {
		return err
	}
	size := 0
	for _, content := range want {
		size += len(content)
	}
	ends := map[int]int{}
	for at := 16 << 10; at < size*3/2; at += size/40 + 4096 {
		code, err := s.onDisk(t, folder, at, size, want)
		if err != nil {
			return err
		}
		t.tried++
		ends[code]++
	}
	t.note("a report of %d bytes", size)
	t.note("%d did not have room", ends[exitBroken])
	return nil
}

// onDisk runs with the report on a disk of a size, and again once that has room.
func (s *soak) onDisk(t *tally, folder string, at, size int, want disturb.Report) (code int, err error) {
	disk, about := filepath.Join(folder, "disk"), fmt.Sprintf("a disk of %d bytes", at)
	if err := mount(disk, at, 0); err != nil {
		return 0, err
	}
	defer func() {
		if e := syscall.Unmount(disk, 0); e != nil && err == nil {
			err = fmt.Errorf("%s: %w", disk, e)
		}
	}()
	out := filepath.Join("disk", "report")
	e := s.end(patience, folder, append(dayArgs, out)...)
	noRoom := strings.Contains(e.stderr, "no space left") || strings.Contains(e.stderr, "there is no room")
	if e.code != exitBroken || !noRoom || e.broke() {
		t.checkEnding(e, about)
	}
	t.checkNumbersFirst(filepath.Join(disk, "report"), about)
	if err := mount(disk, 4*size, syscall.MS_REMOUNT); err != nil {
		return 0, err
	}
	again := s.end(patience, folder, append(dayArgs, out)...)
	if t.checkEnding(again, about+", with room") {
		t.compare(filepath.Join(disk, "report"), want, about+", with room")
	}
	return e.code, nil
}

func mount(disk string, size int, flags uintptr) error {
	err := os.MkdirAll(disk, 0o755)
	if err == nil {
		err = syscall.Mount("tmpfs", disk, "tmpfs", flags, fmt.Sprintf("size=%d", size))
	}
	if err != nil {
		return fmt.Errorf("%s cannot be mounted: %w", disk, err)
	}
	return nil
}

// checkNumbersFirst counts a folder that has a picture and lacks a number, or holds half a file.
func (t *tally) checkNumbersFirst(dir, about string) {
	files, err := disturb.ReadReport(dir)
	if err != nil { // there was no room for the folder
		return
	}
	pictures := false
	for name, content := range files {
		pictures = pictures || strings.HasPrefix(name, report.PictureFolder)
		if strings.HasSuffix(name, ".part") || content == "" && name != runlog.Name && name != ledger.FileName+"-wal" {
			t.fault(&t.wrong, "%s: %s is left with %d bytes", about, name, len(content))
		}
	}
	if !pictures {
		return
	}
	for _, name := range []string{"audit.json", "audit.csv", "audit.txt", ledger.FileName} {
		if files[name] == "" {
			t.fault(&t.lost, "%s: there are pictures, and no %s", about, name)
		}
	}
	var doc struct{ Complete bool }
	if err := json.Unmarshal([]byte(files["audit.json"]), &doc); err != nil || !doc.Complete {
		t.fault(&t.lost, "%s: there are pictures, and the report is not complete (%v)", about, err)
	}
}
