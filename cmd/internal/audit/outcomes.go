package audit

import (
	"context"

	"stopledger/decode/geometry"
	"stopledger/report"
)

// An outcome is what became of an entry: exactly one of a clip, an error, or, after an
// interruption, neither.
type outcome struct {
	clip     *report.Clip
	pictures error // trouble with the clip's pictures
	err      error
}

// outcomes are those of a batch under way, in the order of its entries.
type outcomes struct {
	of      []outcome
	through []chan struct{} // closed when the outcome is there
}

func newOutcomes(entries int) outcomes {
	o := outcomes{make([]outcome, entries), make([]chan struct{}, entries)}
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
		return o.of[i].clip
	case <-ctx.Done():
		return nil
	}
}

// grey returns the last clip before entry i that has grey of its own, waiting for those before it.
// Entries are started in order, so what is waited for is under way.
func (o outcomes) grey(ctx context.Context, i int) *report.Clip {
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
