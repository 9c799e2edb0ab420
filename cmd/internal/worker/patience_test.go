package worker

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"
)

// A file that cannot be read to its end costs its clip, and the error names the file; many files of
// which each is read in time do not, however long all take.
func TestFilesThatHang(t *testing.T) {
	const timeout = 100 * time.Millisecond
	hang := make(chan struct{})
	defer close(hang)
	_, err := Patiently(t.Context(), timeout, func(reading func(string)) int {
		reading("a.mov")
		reading("b.mov")
		<-hang
		return 1
	})
	var stall *Stall
	if !errors.As(err, &stall) || !strings.Contains(err.Error(), "b.mov") {
		t.Errorf("a file that hangs: %v", err)
	}
	if _, err = Patiently(t.Context(), timeout, func(func(string)) int { <-hang; return 1 }); !errors.As(err, &stall) {
		t.Errorf("a folder that hangs: %v", err)
	}
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err = Patiently(ended, 0, func(func(string)) int { <-hang; return 1 }); !errors.Is(err, context.Canceled) {
		t.Errorf("a run that ended: %v", err)
	}
	got, err := Patiently(t.Context(), 10*timeout, func(reading func(string)) int {
		for range 30 {
			reading("c.mov")
			time.Sleep(timeout / 2)
		}
		return 1
	})
	if got != 1 || err != nil {
		t.Errorf("many files: %d, %v", got, err)
	}
}
