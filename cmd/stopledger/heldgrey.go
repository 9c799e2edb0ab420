package main

import (
	"context"

	"stopledger/report"
)

// heldGrey returns the last clip before entry i that has grey of its own, waiting for those
// before it. Entries are started in order, so what is waited for is under way.
func (r *running) heldGrey(ctx context.Context, i int) *report.Clip {
	for i--; i >= 0; i-- {
		select {
		case <-r.through[i]:
		case <-ctx.Done():
			return nil
		}
		if clip := r.outcomes[i].clip; clip != nil && hasOwnGrey(clip.Placement) {
			return clip
		}
	}
	return nil
}

func hasOwnGrey(p *report.Placement) bool {
	if p == nil || p.Weak || p.Carried != "" {
		return false
	}
	return p.Method == "region" || p.Method == "card" || p.Method == "chart"
}

// firstStrip returns the area of the first entry's enlarged strip, nil where it has none. The
// first entry is under way before any other.
func (r *running) firstStrip(ctx context.Context) *report.Rect {
	select {
	case <-r.through[0]:
	case <-ctx.Done():
		return nil
	}
	clip := r.outcomes[0].clip
	if clip == nil || clip.Pictures == nil || len(clip.Pictures.Strips) == 0 {
		return nil
	}
	return &clip.Pictures.Strips[0].Region
}
