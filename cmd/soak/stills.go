//go:build linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
)

// mostMemory is what all processes of a run may take together.
const mostMemory = 2560 << 20

// tryStills measures four pictures as large as are read, four at a time: a frame of each is 384 MiB. All
// processes together stay under 2.5 GiB of memory, pages that they share counted once.
func tryStills(s *soak, t *tally) error {
	folder := filepath.Join(s.dir, "stills")
	defer os.RemoveAll(folder)
	if err := os.MkdirAll(filepath.Join(folder, "day"), 0o755); err != nil {
		return err
	}
	for i := range 4 {
		name := filepath.Join(folder, largeStill(i))
		said, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i",
			fmt.Sprintf("gradients=size=8192x8192:seed=%d", i), "-frames:v", "1", "-pix_fmt", "rgb48le",
			"-compression_algo", "raw", name).CombinedOutput()
		if err != nil {
			return fmt.Errorf("%s cannot be made: %w: %s", name, err, said)
		}
	}
	args := []string{"audit", "--quiet", "--curve", "slog3", "--jobs", "4", "--out", "report"}
	for i := range 4 {
		args = append(args, largeStill(i))
	}
	peak := s.watchMemory()
	e := s.end(20*time.Minute, folder, args...)
	most := peak.end()
	if !t.checkEnding(e, "stills") {
		return nil
	}
	doc, err := readDocument(filepath.Join(folder, "report"))
	if err != nil {
		return err
	}
	for i := range 4 {
		t.tried++
		path := largeStill(i)
		if doc.count(t, path, path); doc.clips[path] == "" {
			t.fault(&t.wrong, "%s was not measured: %s", path, doc.reasons[path])
		}
	}
	if most > mostMemory {
		t.fault(&t.wrong, "it took more than %d MiB", mostMemory>>20)
	}
	t.note("%d MiB at most for all processes together", most>>20)
	return nil
}

func largeStill(i int) string { return "day/large" + string(rune('a'+i)) + ".tif" }

// A peak is the most memory that all processes of the program took at once.
type peak struct {
	most atomic.Int64
	over chan bool
}

func (p *peak) end() int64 {
	close(p.over)
	return p.most.Load()
}

// watchMemory looks at memory again and again until its end.
func (s *soak) watchMemory() *peak {
	p := &peak{over: make(chan bool)}
	go func() {
		for {
			sum := int64(0)
			for _, id := range s.processes() {
				sum += share(id)
			}
			p.most.Store(max(p.most.Load(), sum))
			select {
			case <-p.over:
				return
			case <-time.After(50 * time.Millisecond):
			}
		}
	}()
	return p
}

// share is the proportional set size of a process in bytes, as
// https://docs.kernel.org/filesystems/proc.html tells: pages that several processes map count for each
// by its share.
func share(id int) int64 {
	rollup, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", id))
	if err != nil { // it has ended
		return 0
	}
	_, pss, _ := strings.Cut(string(rollup), "\nPss:")
	kB, _ := strconv.ParseInt(strings.Fields(pss + " 0")[0], 10, 64)
	return kB << 10
}
