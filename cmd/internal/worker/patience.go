package worker

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"
)

// Patiently does work that reads files, and leaves it behind once one file takes longer than a timeout: the
// error is then a *Stall. A timeout of 0 waits for ever. The work tells which file it is at.
func Patiently[T any](ctx context.Context, timeout time.Duration, work func(reading func(path string)) T) (T, error) {
	var at atomic.Pointer[string]
	done := make(chan T, 1)
	go func() { done <- work(func(path string) { at.Store(&path) }) }()
	var none T
	for {
		var late <-chan time.Time
		if timeout > 0 {
			late = time.After(timeout)
		}
		was := at.Load()
		select {
		case t := <-done:
			return t, nil
		case <-ctx.Done():
			return none, ctx.Err()
		case <-late:
			if is := at.Load(); is == nil {
				return none, &Stall{Stage: "looking for its files", Waited: timeout}
			} else if is == was {
				return none, &Stall{Stage: fmt.Sprintf("reading %s", *is), Waited: timeout}
			}
		}
	}
}
