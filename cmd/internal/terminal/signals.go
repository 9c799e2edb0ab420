package terminal

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
)

// untilQuit is how long a report may take yet once a second signal came: people press twice.
const untilQuit = 2 * time.Second

// Interruptible returns a context that the first signal cancels, so that work in hand ends and what is
// finished is written. The second signal quits soon, the third at once. stop ends the watch.
func Interruptible(ctx context.Context, signals <-chan os.Signal, quit func()) (_ context.Context, stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	over := make(chan struct{})
	go func() {
		select {
		case <-signals:
			cancel()
		case <-over:
			return
		}
		select {
		case <-signals:
		case <-over:
			return
		}
		select {
		case <-signals:
			quit()
		case <-time.After(untilQuit):
			quit()
		case <-over:
		}
	}()
	return ctx, func() { close(over); cancel() }
}

// OutliveReader lets the program go on when what reads its output ends, as head does after some
// lines: then writing fails instead of ending the program, and a report is still to be written.
// Without one there is nothing left to do, and the signal ends it as it ends any program.
func OutliveReader() { signal.Ignore(syscall.SIGPIPE) }
