package audit

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/worker"
	"stopledger/decode"
)

// Find finds clips as card.Find does. Where a path does not answer within timeout, as on a network that is
// gone, the error says which; 0 waits for ever. What hangs is left behind, also when ctx ends.
func Find(ctx context.Context, timeout time.Duration, paths []string, follow bool) (card.Listing, error) {
	return Patiently(ctx, timeout, func(looking func(string)) (card.Listing, error) {
		return card.Find(ctx, paths, follow, looking)
	})
}

// Patiently looks for clips, and gives up as Find does.
func Patiently[T any](ctx context.Context, timeout time.Duration,
	find func(looking func(path string)) (T, error)) (T, error) {
	type found struct {
		it  T
		err error
	}
	f, err := worker.Patiently(ctx, timeout, func(looking func(string)) found {
		it, err := find(looking)
		return found{it, err}
	})
	var stall *worker.Stall
	if errors.As(err, &stall) {
		err = fmt.Errorf("clips cannot be looked for: %w: %s", stall, unanswered)
	}
	if err != nil {
		return f.it, err
	}
	return f.it, f.err
}

// unanswered is what to do about a file that hangs.
const unanswered = "check that the disk or network it lies on answers, or give it longer with --clip-timeout"

// watched looks at a clip's files. Where they do not answer in time the error is a *worker.Stall for the user,
// and the entry is as it was.
func (b Batch) watched(ctx context.Context, e *card.Entry, longer time.Duration,
	look func(ctx context.Context, e *card.Entry) (bool, error)) (bool, error) {
	type seen struct {
		entry card.Entry
		yes   bool
		err   error
	}
	timeout := b.Timeout
	if timeout > 0 {
		timeout += longer
	}
	s, err := worker.Patiently(ctx, timeout, func(looking func(string)) seen {
		s := seen{entry: *e}
		looking(e.Path)
		s.yes, s.err = look(ctx, &s.entry)
		return s
	})
	var stall *worker.Stall
	switch {
	case errors.As(err, &stall):
		return false, &decode.ClipError{Path: e.Path, What: stall.Error(), Err: err, Do: unanswered}
	case err != nil:
		return false, err
	}
	*e = s.entry
	return s.yes, s.err
}

// growing and changed ask a clip's files; settle waits for them.
func (b Batch) growing(ctx context.Context, e *card.Entry) (bool, error) {
	return b.watched(ctx, e, 0, func(_ context.Context, e *card.Entry) (bool, error) {
		if b.Growing != nil {
			return b.Growing(e), nil
		}
		return e.Growing(), nil
	})
}

func (b Batch) changed(ctx context.Context, e *card.Entry) (bool, error) {
	return b.watched(ctx, e, 0, func(_ context.Context, e *card.Entry) (bool, error) { return e.Changed(), nil })
}

func (b Batch) settle(ctx context.Context, e *card.Entry) error {
	_, err := b.watched(ctx, e, card.Settling,
		func(ctx context.Context, e *card.Entry) (bool, error) { return true, e.Settle(ctx) })
	return err
}
