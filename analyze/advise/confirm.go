package advise

import (
	"stopledger/analyze/placement"
)

// confirmSentence tells how what may be a card or chart is confirmed where it is no ground by itself,
// "" where there is none.
func confirmSentence(p *placement.Placement) string {
	if p == nil || !p.Weak {
		return ""
	}
	if p.Doubt == placement.Curve || p.Doubt == placement.FewNeutrals {
		return "" // that it is a chart is not what is in doubt
	}
	if p.Method == placement.Card || p.Method == placement.Chart {
		return "If it is one, say so with " + confirming(placement.Candidate{Method: p.Method, Region: p.Region}) + "."
	}
	best := -1
	for i, c := range p.Candidates {
		if likely(c) && (best < 0 || c.Confidence > p.Candidates[best].Confidence) {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	c := &p.Candidates[best]
	return "What may be a " + string(c.Method) + " reads " + c.Stops.Signed(2) + ": if it is one, say so with " +
		confirming(*c) + "."
}

// confirming is the flag with which the user confirms a card or chart.
func confirming(c placement.Candidate) string {
	if c.Method == placement.Card && c.Region != nil {
		return "--region " + areaWords(c)
	}
	return "--grey " + string(c.Method)
}
