package main

import (
	"context"
	"errors"
	"sync"

	"stopledger/analyze"
	"stopledger/report"
)

// A batch measures clips, some at a time, and hands the results on in the order of the entries.
type batch struct {
	entries   []entry
	settings  auditSettings
	holdGrey  bool
	samePlace bool // enlarge the same area in all clips
	jobs      int
	measure   measurer

	// pictures writes the stills of a measured clip; nil where none are wanted.
	pictures func(*report.Clip, *analyze.Stills) error
	// done takes a measured clip as soon as all entries before it are through. It is called by
	// one goroutine at a time; nil for no use.
	done func(report.Clip)
	// progress takes how much of entry i is through, 0..1; nil for no use.
	progress func(i int, share float64)
}

// An outcome is what became of an entry: exactly one of a clip, an error, or, after an
// interruption, neither.
type outcome struct {
	clip *report.Clip
	err  error
}

// Results are the outcomes of a batch in the order of its entries.
type results struct {
	clips    []report.Clip
	failed   []report.Failure
	undone   int   // entries that an interruption left unmeasured
	pictures error // first trouble with writing pictures
}

// run measures until the entries are through or ctx is cancelled.
func (b *batch) run(ctx context.Context) results {
	r := &running{batch: b, outcomes: make([]outcome, len(b.entries)), through: make([]chan struct{}, len(b.entries))}
	for i := range r.through {
		r.through[i] = make(chan struct{})
	}
	next := make(chan int)
	var workers sync.WaitGroup
	for range min(b.jobs, len(b.entries)) {
		workers.Go(func() {
			for i := range next {
				r.finish(i, r.one(ctx, i))
			}
		})
	}
	for i := range b.entries {
		next <- i // once interrupted, one returns at once
	}
	close(next)
	workers.Wait()
	return r.results()
}

// running is a batch under way.
type running struct {
	*batch
	outcomes []outcome
	through  []chan struct{} // closed when the outcome is there

	mu          sync.Mutex
	handedOn    int // entries before this one are handed on
	pictureFail error
}

// one measures one entry. A panic while measuring becomes that clip's error.
func (r *running) one(ctx context.Context, i int) (o outcome) {
	e := r.entries[i]
	if e.err != nil {
		return outcome{err: e.err}
	}
	if ctx.Err() != nil {
		return outcome{}
	}
	defer func() {
		if p := recover(); p != nil {
			o = outcome{err: broken(e.path, p)}
		}
	}()
	clip, stills, err := r.measure(ctx, e.path, r.settingsFor(i))
	switch {
	case err != nil && ctx.Err() != nil && errors.Is(err, ctx.Err()):
		return outcome{}
	case err != nil:
		return outcome{err: err}
	}
	clip.Advice.Summary = report.Verdict(clip)
	if r.pictures != nil {
		r.note(r.pictures(&clip, &stills))
	}
	return outcome{clip: &clip}
}

func (r *running) settingsFor(i int) auditSettings {
	s := r.settings
	s.Progress = func(share float64) {
		if r.progress != nil {
			r.progress(i, share)
		}
	}
	if r.samePlace && i > 0 {
		s.Shadows = r.firstStrip
	}
	if r.holdGrey {
		s.HeldGrey = func(ctx context.Context) *report.Clip { return r.heldGrey(ctx, i) }
	}
	return s
}

// finish records an outcome and hands on what is ready.
func (r *running) finish(i int, o outcome) {
	r.outcomes[i] = o
	close(r.through[i])
	if r.progress != nil {
		r.progress(i, 1)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for r.handedOn < len(r.outcomes) && isClosed(r.through[r.handedOn]) {
		if clip := r.outcomes[r.handedOn].clip; clip != nil && r.done != nil {
			r.done(*clip)
		}
		r.handedOn++
	}
}

func isClosed(c chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}

func (r *running) note(err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.pictureFail == nil {
		r.pictureFail = err
	}
}

func (r *running) results() results {
	res := results{clips: []report.Clip{}, failed: []report.Failure{}, pictures: r.pictureFail}
	for i, o := range r.outcomes {
		switch {
		case o.clip != nil:
			res.clips = append(res.clips, *o.clip)
		case o.err != nil:
			res.failed = append(res.failed, report.Failure{Path: r.entries[i].name, Error: failureText(o.err)})
		default:
			res.undone++
		}
	}
	return res
}
