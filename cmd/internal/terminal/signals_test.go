package terminal

import (
	"os"
	"testing"
	"time"
)

func TestSecondSignal(t *testing.T) {
	signals, quit := make(chan os.Signal), make(chan bool)
	ctx, stop := Interruptible(t.Context(), signals, func() { quit <- true })
	defer stop()
	signals <- os.Interrupt
	<-ctx.Done()
	signals <- os.Interrupt
	select {
	case <-quit:
		t.Error("the second signal left no time for the report")
	case <-time.After(untilQuit / 4):
	}
	signals <- os.Interrupt
	<-quit
}

// Where the report takes too long, the second signal is enough.
func TestSecondSignalAlone(t *testing.T) {
	signals, quit := make(chan os.Signal), make(chan bool)
	_, stop := Interruptible(t.Context(), signals, func() { quit <- true })
	defer stop()
	signals <- os.Interrupt
	signals <- os.Interrupt
	<-quit
}

func TestNoSignal(t *testing.T) {
	ctx, stop := Interruptible(t.Context(), nil, func() { t.Error("quit") })
	if ctx.Err() != nil {
		t.Error(ctx.Err())
	}
	stop()
	<-ctx.Done()
}
