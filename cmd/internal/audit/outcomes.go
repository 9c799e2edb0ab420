package audit

import (
	"context"
	"sync"

	"stopledger/decode/geometry"
	"stopledger/report"
)

// An outcome is what became of an entry: exactly one of a clip, an error, or, after an
// interruption, neither.
type outcome struct {
	measured bool
	clip     *report.Clip // nil once it is forgotten
	pictures error        // trouble with the clip's pictures
	err      error
}

// outcomes are those of a batch under way, in the order of its entries.
type outcomes struct {
	of      []outcome
	through []chan struct{} // closed when the outcome is there

	mu   *sync.Mutex // of clips that may be forgotten
	grey *int        // the last entry that was forgotten but for its grey; -1 for none
}

func newOutcomes(entries int) outcomes {
	none := -1
	o := outcomes{make([]outcome, entries), make([]chan struct{}, entries), new(sync.Mutex), &none}
	for i := range o.through {
		o.through[i] = make(chan struct{})
	}
	return o
}

// set records the outcome of entry i.
func (o outcomes) set(i int, what outcome) {
	o.of[i] = what
	close(o.through[i])
}

// known tells whether entry i is through.
func (o outcomes) known(i int) bool {
	select {
	case <-o.through[i]:
		return true
	default:
		return false
	}
}

// wait returns the clip of entry i once it is through, nil where it has none or ctx ends before.
func (o outcomes) wait(ctx context.Context, i int) *report.Clip {
	select {
	case <-o.through[i]:
		o.mu.Lock()
		defer o.mu.Unlock()
		return o.of[i].clip
	case <-ctx.Done():
		return nil
	}
}

// forget leaves of entry i, and of all before it, what later ones may take over.
func (o outcomes) forget(i int) {
	o.mu.Lock()
	defer o.mu.Unlock()
	c := o.of[i].clip
	if o.of[i].clip = nil; c == nil || !hasOwnGrey(c.Placement) {
		return
	}
	o.of[i].clip = &report.Clip{File: report.File{Path: c.Path}, Curve: c.Curve, Camera: c.Camera, Placement: c.Placement}
	if *o.grey >= 0 {
		o.of[*o.grey].clip = nil
	}
	*o.grey = i
}

// heldGrey returns the last clip before entry i that has grey of its own, waiting for those before it.
// Entries are started in order, so what is waited for is under way.
func (o outcomes) heldGrey(ctx context.Context, i int) *report.Clip {
	for i--; i >= 0; i-- {
		if clip := o.wait(ctx, i); clip != nil && hasOwnGrey(clip.Placement) {
			return clip
		}
	}
	return nil
}

// firstStrip returns the area of the first entry's enlarged strip, nil where it has none. The
// first entry is under way before any other.
func (o outcomes) firstStrip(ctx context.Context) *geometry.Rect {
	clip := o.wait(ctx, 0)
	if clip == nil || clip.Pictures == nil || len(clip.Pictures.Strips) == 0 {
		return nil
	}
	return &clip.Pictures.Strips[0].Region
}
