package worker

import "time"

// A clock tells when work has stalled. Progress ends a wait; what waits last beyond a short while adds
// up, so that work that hangs again and again comes to an end too. Of a wait in which the work computes,
// the processor's time counts: on a busy machine it gets on slowly, and does not hang.
type clock struct {
	timeout time.Duration
	used    func() time.Duration // of processors so far; nil where that is not known
	waited  time.Duration        // in waits that have ended, beyond free each
	since   time.Time            // the last progress
	usedBy  time.Duration        // of processors until then
}

// freeShare is the share of the timeout that a wait may last for free: a large frame on a busy
// machine takes as long.
const freeShare = 0.1

// computing is the share of a wait from which on work computes, if slowly; what hangs takes a tenth.
const computing = 0.01

func (c *clock) start() {
	c.since = time.Now()
	if c.used != nil {
		c.usedBy = c.used()
	}
}

// progress ends a wait.
func (c *clock) progress() {
	free := time.Duration(freeShare * float64(c.timeout))
	c.waited += max(c.wait()-free, 0)
	c.start()
}

// wait is how long this wait counts so far.
func (c *clock) wait() time.Duration {
	whole := time.Since(c.since)
	if c.used == nil {
		return whole
	}
	if used := c.used() - c.usedBy; float64(used) >= computing*float64(whole) {
		return min(used, whole)
	}
	return whole
}

// left is how long this wait may last yet.
func (c *clock) left() time.Duration { return c.timeout - c.total() }

// total is how long was waited in all.
func (c *clock) total() time.Duration { return c.waited + c.wait() }
