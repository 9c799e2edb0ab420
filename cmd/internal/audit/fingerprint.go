package audit

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"stopledger/cmd/internal/worker"
	"stopledger/decode"
	"stopledger/report/ledger"
)

// fingerprint takes the fingerprint of a clip's files. Where reading them hangs, as on a network that is
// gone, the error says so and is a *worker.Stall.
func (k *Keeper) fingerprint(ctx context.Context, j Job) (ledger.Fingerprint, error) {
	type taken struct {
		print ledger.Fingerprint
		err   error
	}
	t, err := patiently(ctx, k.Timeout, func(reading func(path string)) taken {
		print, err := ledger.Take(reading, FilesOf(j)...)
		return taken{print, err}
	})
	var stall *worker.Stall
	if errors.As(err, &stall) {
		err = &decode.ClipError{Path: j.Path, What: stall.Error(), Err: err,
			Do: "check that the disk or network it lies on answers, or give it longer with --clip-timeout"}
	}
	return t.print, cmp.Or(err, t.err)
}

// patiently does work that reads files, and leaves it behind once one file takes longer than a timeout; 0
// waits for ever. The work tells which file it is at.
func patiently[T any](ctx context.Context, timeout time.Duration, work func(reading func(path string)) T) (T, error) {
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
				return none, &worker.Stall{Stage: "looking for its files", Waited: timeout}
			} else if is == was {
				return none, &worker.Stall{Stage: fmt.Sprintf("reading %s", *is), Waited: timeout}
			}
		}
	}
}
