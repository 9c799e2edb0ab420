package placement

import (
	"cmp"
	"math"
	"slices"

	"stopledger/analyze/detect"
	"stopledger/analyze/levels"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// byWorth are the kinds of evidence, the best first.
var byWorth = []Method{Region, Chart, Card, Face, Scene}

// Result returns the best evidence of grey, with all of it as candidates, nil where what was asked
// for was not found; and by how much two areas the user gave disagree, unknown without two.
// groups are the levels of the clip, seen what was found in its frames.
func (a *Accumulator) Result(groups []levels.Group, seen *Search) (best *Placement, disagree curve.Stops) {
	scene := average(groups, a.from, a.table.Reading)
	found := append(seen.Result(a.from, scene.Stops), scene)
	if p := a.region(); p != nil {
		found = append(found, p)
	}
	slices.SortStableFunc(found, byWorthThenSure)
	return choose(found, a.from.Grey), a.gap()
}

// byWorthThenSure sorts evidence, the best kind first, and within a kind the surest.
func byWorthThenSure(p, q *Placement) int {
	return cmp.Or(cmp.Compare(slices.Index(byWorth, p.Method), slices.Index(byWorth, q.Method)),
		cmp.Compare(q.sureness(), p.sureness()))
}

// choose picks the evidence to go by, lists all of it as its candidates and notes what is in doubt.
// found is sorted, the best first.
func choose(found []*Placement, asked Method) *Placement {
	best := pick(found, asked)
	if best == nil {
		return nil
	}
	for _, p := range found {
		best.Candidates = append(best.Candidates, Candidate{Method: p.Method, Stops: p.Stops, Confidence: p.sureness(),
			Region: p.Region, Used: p == best, Note: note(p.Method)})
	}
	best.judge(asked != "" && asked != Auto)
	return best
}

// pick returns what grey is read from: an area given; the best that may be the ground for a
// correction, or a chart that doubts the curve; what is likely and no more; the scene's average.
func pick(found []*Placement, asked Method) *Placement {
	if asked != "" && asked != Auto {
		return first(found, func(p *Placement) bool { return p.Method == asked })
	}
	for _, good := range []func(p *Placement) bool{
		func(p *Placement) bool { return p.Method == Region },
		(*Placement).settles,
		func(p *Placement) bool { return p.Method == Face && p.sureness() >= limit.Sure && !p.Weak },
		func(p *Placement) bool { return p.found() && p.sureness() >= limit.Likely },
		func(p *Placement) bool { return p.Method == Face && p.sureness() >= limit.Sure || p.Method == Scene },
	} {
		if p := first(found, good); p != nil {
			return p
		}
	}
	return nil
}

func first(found []*Placement, good func(*Placement) bool) *Placement {
	if i := slices.IndexFunc(found, good); i >= 0 {
		return found[i]
	}
	return nil
}

// judge makes a placement weak that something speaks against: what it is read from is not sure and
// was not asked for, or another card or chart, as likely one, says another exposure. An area the user
// points at stands.
func (p *Placement) judge(asked bool) {
	if !p.found() {
		return
	}
	if !asked && p.sureness() < limit.Sure {
		p.Weak = true
	}
	if p.Doubt == "" && slices.ContainsFunc(p.Candidates, p.contradicted) {
		p.Doubt, p.Weak = Disagree, true
	}
}

// contradicted tells whether a candidate may well be an 18 % reference and says another exposure.
func (p *Placement) contradicted(c Candidate) bool {
	return !c.Used && (c.Method == Card || c.Method == Chart) && c.Confidence >= limit.Likely &&
		math.Abs(float64(c.Stops-p.Stops)) > float64(limit.Disagree)
}

func note(kind Method) string {
	switch kind {
	case Face:
		return detect.SkinExpectation + " (common practice)"
	case Scene:
		return "average level of the frame"
	}
	return ""
}
