package worker

import (
	"cmp"
	"fmt"
	"time"
)

// A Crash says that a worker died at a job.
type Crash struct {
	Stage string // what it was doing
	How   string // as the system says it: "killed", "exit status 2"
	Said  string // as it says itself, "segmentation violation"; may be empty
}

// Error says how it died.
func (c *Crash) Error() string {
	return fmt.Sprintf("the process crashed while %s (%s)", c.Stage, cmp.Or(c.Said, c.How))
}

// An OutOfMemory says that a worker needed more memory than it may have.
type OutOfMemory struct {
	Stage string // what it was doing
	Limit int64  // bytes; 0 where it had none of its own
}

// Error says how much it may have.
func (o *OutOfMemory) Error() string {
	if o.Limit == 0 {
		return fmt.Sprintf("there was not enough memory while %s", o.Stage)
	}
	return fmt.Sprintf("it needs more memory than the %s it may have, while %s", Bytes(o.Limit), o.Stage)
}

// A Stall says that a worker was given up because it did not get on.
type Stall struct {
	Stage  string        // what it was doing
	Waited time.Duration // without progress, all waits for the leaseholder's jobs together
}

// Error says for how long it did not get on.
func (s *Stall) Error() string {
	return fmt.Sprintf("it did not get on for %g s while %s", s.Waited.Round(time.Second/10).Seconds(), s.Stage)
}

// Bytes words an amount of memory: 512 MiB, 1.8 GiB.
func Bytes(n int64) string {
	if n >= 1<<30 {
		return fmt.Sprintf("%.1f GiB", float64(n)/(1<<30))
	}
	return fmt.Sprintf("%d MiB", n>>20)
}
