package worker

import (
	"bytes"
	"math"
	"os"
	"path"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// setLimit bounds the memory that a process may have for its data, heap and threads (RLIMIT_DATA);
// 0 lifts the bound. A bound that cannot be set is none: the budget holds all the same.
func setLimit(pid int, limit int64) {
	var now unix.Rlimit
	if unix.Prlimit(pid, unix.RLIMIT_DATA, nil, &now) != nil {
		return
	}
	now.Cur = now.Max
	if limit > 0 {
		now.Cur = min(uint64(limit), now.Max)
	}
	_ = unix.Prlimit(pid, unix.RLIMIT_DATA, &now, nil)
}

// Available returns the bytes of memory that can be had: of the machine, or of the control group
// that this process runs in, whichever has less. 0 where that is not known.
func Available() int64 {
	least := int64(math.MaxInt64)
	for line := range strings.Lines(contents("/proc/meminfo")) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "MemAvailable:" {
			if kib, err := strconv.ParseInt(f[1], 10, 64); err == nil {
				least = kib << 10
			}
		}
	}
	for line := range strings.Lines(contents("/proc/self/cgroup")) {
		if group, ok := strings.CutPrefix(strings.TrimSpace(line), "0::"); ok {
			least = min(least, inGroup(group))
		}
	}
	if least == math.MaxInt64 {
		return 0
	}
	return max(least, 1)
}

// inGroup returns what a control group (version 2) and those above it leave.
func inGroup(group string) int64 {
	least := int64(math.MaxInt64)
	for ; ; group = path.Dir(group) {
		at := path.Join("/sys/fs/cgroup", group)
		most, err := number(path.Join(at, "memory.max"))
		used, noUse := number(path.Join(at, "memory.current"))
		if err == nil && noUse == nil {
			least = min(least, max(most-used+cached(at), 0))
		}
		if group == "/" || group == "." {
			return least
		}
	}
}

// cached returns what a group holds of files, which makes room when it is needed.
func cached(at string) int64 {
	for line := range strings.Lines(contents(path.Join(at, "memory.stat"))) {
		if n, ok := strings.CutPrefix(line, "inactive_file "); ok {
			bytes, _ := strconv.ParseInt(strings.TrimSpace(n), 10, 64)
			return bytes
		}
	}
	return 0
}

func number(file string) (int64, error) {
	return strconv.ParseInt(strings.TrimSpace(contents(file)), 10, 64)
}

func contents(file string) string {
	b, err := os.ReadFile(file)
	if err != nil {
		return ""
	}
	return string(bytes.TrimSpace(b))
}
