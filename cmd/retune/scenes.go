package main

import (
	"fmt"

	"stopledger/analyze/detect"
	"stopledger/analyze/detect/pose"
)

// scenes are recorded once and looked at again for every change.
type scenes struct {
	first                uint64
	charts, cards, empty []pose.Posed
}

func newScenes(first uint64, n int) *scenes {
	s := &scenes{first, make([]pose.Posed, n), make([]pose.Posed, n), make([]pose.Posed, n)}
	pose.Each(first, n, func(seed uint64) pose.Verdict {
		i := seed - first
		s.charts[i], s.cards[i], s.empty[i] = pose.Chart(seed, false), pose.Card(seed), pose.Empty(seed)
		return pose.Verdict{}
	})
	return s
}

// A score is what the detector made of the scenes.
type score struct{ charts, cards, empty *pose.Tally }

func (s score) String() string {
	return fmt.Sprintf("charts %d/%d  cards %d/%d  false %d",
		s.charts.Found, s.charts.Wrong, s.cards.Found, s.cards.Wrong, s.empty.Wrong)
}

// look looks at every scene with some parameters.
func (s *scenes) look(params detect.Params) score {
	each := func(of []pose.Posed, faces bool, judge func(*pose.Posed, detect.Findings) pose.Verdict) *pose.Tally {
		opt := detect.Options{SkipFaces: !faces, Params: &params}
		return pose.Each(s.first, len(of), func(seed uint64) pose.Verdict {
			p := &of[seed-s.first]
			return judge(p, detect.Look(p.Frame, p.Reading, p.Matrix, opt))
		})
	}
	return score{
		each(s.charts, false, (*pose.Posed).JudgeChart),
		each(s.cards, false, (*pose.Posed).JudgeCard),
		each(s.empty, true, (*pose.Posed).JudgeEmpty),
	}
}
