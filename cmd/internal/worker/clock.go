package worker

import "time"

// A clock tells when work has stalled. Progress ends a wait; what waits last beyond a short while adds
// up, so that work that hangs again and again comes to an end too.
type clock struct {
	timeout time.Duration
	waited  time.Duration // in waits that have ended, beyond free each
	since   time.Time     // the last progress
}

// freeShare is the share of the timeout that a wait may last for free: a large frame on a busy
// machine takes as long.
const freeShare = 0.1

func (c *clock) start() { c.since = time.Now() }

// progress ends a wait.
func (c *clock) progress() {
	now := time.Now()
	free := time.Duration(freeShare * float64(c.timeout))
	c.waited += max(now.Sub(c.since)-free, 0)
	c.since = now
}

// left is how long this wait may last yet.
func (c *clock) left() time.Duration { return c.timeout - c.total() }

// total is how long was waited in all.
func (c *clock) total() time.Duration { return c.waited + time.Since(c.since) }
