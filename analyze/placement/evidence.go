package placement

import (
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
	found := seen.Result(a.from, scene.Stops)
	found[Scene] = scene
	if p := a.region(); p != nil {
		found[Region] = p
	}
	return choose(found, a.from.Grey), a.gap()
}

// choose picks the evidence to go by and lists all of it as its candidates.
func choose(found map[Method]*Placement, asked Method) *Placement {
	best := pick(found, asked)
	if best == nil {
		return nil
	}
	for _, kind := range byWorth {
		if p := found[kind]; p != nil {
			best.Candidates = append(best.Candidates, Candidate{Method: kind, Stops: p.Stops, Confidence: p.sureness(),
				Region: p.Region, Used: p == best, Note: note(kind)})
		}
	}
	return best
}

func pick(found map[Method]*Placement, asked Method) *Placement {
	if asked != "" && asked != Auto {
		return found[asked]
	}
	for _, kind := range byWorth {
		if p := found[kind]; p != nil && (kind == Region || kind == Scene || p.sureness() >= limit.Sure) {
			return p
		}
	}
	return nil
}

// sureness is the confidence in 0..1; an area the user gave is sure.
func (p *Placement) sureness() curve.Ratio {
	if !curve.Finite(p.Confidence) {
		return 1
	}
	return p.Confidence
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
