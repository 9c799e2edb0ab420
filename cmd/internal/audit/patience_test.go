package audit

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/worker"
	"stopledger/report"
)

// A path that never answers ends the search, by name, and so does the end of the run at once. What a dead
// mount does cannot be tried without one: the function that looks hangs instead.
func TestPathsThatHang(t *testing.T) {
	inFolder(t, "day/a.mov", "day/b.mov")
	hang := make(chan struct{})
	defer close(hang)
	stuck := func(looking func(string)) (card.Listing, error) {
		return card.Find(context.Background(), []string{"day"}, false, func(path string) {
			if looking(path); path == "day/b.mov" {
				<-hang
			}
		})
	}
	_, err := Patiently(t.Context(), 100*time.Millisecond, stuck)
	var stall *worker.Stall
	if !errors.As(err, &stall) || !strings.Contains(err.Error(), "reading day/b.mov: check that the disk or network") {
		t.Errorf("a file that hangs: %v", err)
	}
	ctx, interrupt := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, interrupt)
	began := time.Now()
	if _, err := Patiently(ctx, time.Hour, stuck); !errors.Is(err, context.Canceled) ||
		time.Since(began) > 10*time.Second {
		t.Errorf("interrupted: %v after %v", err, time.Since(began))
	}
	if found, err := Find(t.Context(), time.Minute, []string{"day"}, false); err != nil || len(found.Entries) != 2 {
		t.Errorf("what answers: %+v, %v", found, err)
	}
}

// A clip whose files do not answer when it is asked whether it grows fails by name, and the others are
// measured.
func TestGrowingClipsThatHang(t *testing.T) {
	inFolder(t, "day/a.mov", "day/b.mov", "day/c.mov")
	found, err := Find(t.Context(), 0, []string{"day"}, false)
	if err != nil {
		t.Fatal(err)
	}
	hang := make(chan struct{})
	defer close(hang)
	var measured []string
	b := Batch{Entries: found.Entries, Jobs: 1, Timeout: 100 * time.Millisecond,
		Growing: func(e *card.Entry) bool {
			if e.Path == "day/b.mov" {
				<-hang
			}
			return false
		},
		Measure: func(_ context.Context, j Job) (report.Clip, error) {
			measured = append(measured, j.Path)
			return report.Clip{File: report.File{Path: j.Path}}, nil
		}}
	res := b.Run(t.Context())
	if strings.Join(measured, " ") != "day/a.mov day/c.mov" || len(res.Failed) != 1 ||
		!strings.Contains(res.Failed[0].Error, "did not get on for 0.1 s while reading day/b.mov; check that the disk") {
		t.Errorf("measured %q, failed %+v", measured, res.Failed)
	}
}
