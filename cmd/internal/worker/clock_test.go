package worker

import (
	"testing"
	"time"
)

// Of a wait in which the work computes, its own time counts, and the whole wait where it does not.
func TestWaitsOnABusyMachine(t *testing.T) {
	const waited = 10 * time.Second
	for name, tc := range map[string]struct{ used, counts time.Duration }{
		"it hangs":                   {0, waited},
		"the runtime stirs":          {waited / 1000, waited},
		"others have the processors": {waited / 10, waited / 10},
		"it has one to itself":       {waited, waited},
		"it has four":                {4 * waited, waited},
	} {
		now := time.Duration(0)
		c := &clock{timeout: time.Minute, used: func() time.Duration { return now }}
		c.start()
		c.since, now = c.since.Add(-waited), tc.used
		if got := c.wait(); got < tc.counts || got > tc.counts+time.Second {
			t.Errorf("%s: counts %v, want %v", name, got, tc.counts)
		}
	}
}
