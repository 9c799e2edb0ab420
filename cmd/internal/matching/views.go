// Package matching brings the clips of a run to one of them.
package matching

import (
	"slices"
	"sync"

	"stopledger/analyze/match"
	"stopledger/analyze/still"
	"stopledger/cmd/internal/audit"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/html"
	"stopledger/report/picture"
)

// Views are small pictures of the clips of a batch, by their places in it.
type Views struct {
	mu sync.Mutex
	of map[int]*still.Still
}

// Take takes the view of one clip, as Batch.View of an audit.
func (v *Views) Take(i int, view *still.Still) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.of == nil {
		v.of = map[int]*still.Still{}
	}
	v.of[i] = view
}

// Match brings the clips of a batch to the one at place to. res are the results of that batch. The
// matches are in the order of the clips, without the one they are brought to; there are none where that
// one was not measured.
func (v *Views) Match(tool report.Tool, res audit.Results, to int) report.Matching {
	clips := map[int]*report.Clip{}
	next := 0
	for i, p := range res.Places {
		if p.Measured {
			clips[i] = &res.Clips[next]
			next++
		}
	}
	m := report.Matching{Schema: report.MatchSchema, Tool: tool, Matches: []report.Match{}, Failed: res.Failed}
	if clips[to] == nil {
		return m
	}
	target := v.clip(to, clips[to])
	for i := range res.Places {
		if c := clips[i]; c != nil && i != to {
			o := match.Match(v.clip(i, c), target)
			m.Matches = append(m.Matches, report.NewMatch(c.Path, clips[to].Path, o))
		}
	}
	return m
}

// Strangers are the paths of clips that show another scene than the first that was measured.
func (v *Views) Strangers(res audit.Results) (paths []string) {
	var first *match.Clip
	next := 0
	for i, p := range res.Places {
		if !p.Measured {
			continue
		}
		c := &res.Clips[next]
		next++
		of := v.clip(i, c)
		switch {
		case first == nil:
			first = &of
		case match.Differ(*first, of):
			paths = append(paths, c.Path)
		}
	}
	return paths
}

func (v *Views) clip(i int, c *report.Clip) match.Clip {
	return match.Clip{Grey: c.Placement, View: v.of[i], Floor: c.Noise.Floor}
}

// Shown returns the clips of a match as its page shows them: the one they are brought to first.
func (v *Views) Shown(m *report.Matching, res audit.Results) (shown []html.Shown, err error) {
	stops := map[string]curve.Stops{}
	for _, x := range m.Matches {
		stops[x.Path] = x.Stops
	}
	next := 0
	for i, p := range res.Places {
		if !p.Measured {
			continue
		}
		path := res.Clips[next].Path
		next++
		view := v.of[i]
		if view == nil {
			continue
		}
		one := html.Shown{Path: path, Width: view.Width, Height: view.Height}
		if one.Before, err = picture.Small(view, 0); err != nil {
			return nil, err
		}
		s, matched := stops[path]
		if curve.Finite(s) && matched {
			if one.After, err = picture.Small(view, s); err != nil {
				return nil, err
			}
		}
		if matched {
			shown = append(shown, one)
		} else {
			shown = slices.Insert(shown, 0, one)
		}
	}
	return shown, nil
}
