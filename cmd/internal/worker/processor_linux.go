package worker

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// processorTime returns how much time a process has had of processors; 0 where that is not known
// (proc_pid_stat(5), fields 14 and 15).
func processorTime(pid int) time.Duration {
	const tick = time.Second / 100 // of user space, on every architecture that Go runs on
	all := contents(fmt.Sprintf("/proc/%d/stat", pid))
	fields := strings.Fields(all[strings.LastIndex(all, ")")+1:]) // from field 3 on
	if len(fields) < 13 {
		return 0
	}
	user, _ := strconv.ParseInt(fields[11], 10, 64)
	system, _ := strconv.ParseInt(fields[12], 10, 64)
	return time.Duration(user+system) * tick
}
