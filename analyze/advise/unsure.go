package advise

import (
	"fmt"
	"math"
	"strings"

	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// unsettling are the findings, from a caution up, with which the level of grey is in doubt: no
// correction rests on it then, and the verdict opens with the finding. Doubts about noise (NoiseDoubt) are
// not among them: where grey lies does not rest on noise.
var unsettling = map[ID]bool{CurveDoubt: true, RangeDoubt: true, GreyDoubt: true}

// unsettled returns the gravest finding that leaves no ground for a correction, nil for none.
func unsettled(findings []Finding, f Facts) (worst *Finding) {
	for i, found := range findings {
		leaves := unsettling[found.ID] ||
			found.ID == Step && moves(f.Variation.Step) || found.ID == Drift && moves(f.Variation.Drift)
		grave := found.Level.Rank() >= Caution.Rank() && (worst == nil || found.Level.Rank() > worst.Level.Rank())
		if leaves && grave {
			worst = &findings[i]
		}
	}
	return worst
}

// moves tells whether exposure changes so far within a clip that no single correction fits it.
func moves(stops curve.Stops) bool { return math.Abs(float64(stops)) >= float64(limit.Moves) }

// greyDoubts tell why a reading that may be the ground for a correction gives none.
func greyDoubts(f Facts) (out []Finding) {
	if f.Placement == nil {
		return nil
	}
	p := f.Placement
	if p.Doubt == placement.FewNeutrals {
		out = append(out, Finding{GreyDoubt, Caution, "Fewer than three of the chart's greys can be read and agree: " +
			"something lies over them. Clear the chart, or name a grey patch with --region and --reflectance."})
	}
	if c := contrary(p); c != nil && (!p.Weak || p.Doubt == placement.Disagree) {
		out = append(out, Finding{GreyDoubt, Caution, fmt.Sprintf("Two pieces of evidence disagree on where grey is: "+
			"the %s says %s, and %s says %s. Name the right one with --region.", p.Method, p.Stops.Signed(2),
			candidateWords(c), c.Stops.Signed(2))})
	}
	if p = f.usable(); p == nil {
		return out
	}
	if p.Carried == "" && moves(p.Drift) && !moves(f.Variation.Step) && !moves(f.Variation.Drift) {
		out = append(out, Finding{GreyDoubt, Caution, fmt.Sprintf(
			"Grey moves by %+.1f stops within the clip: no single pull or lift fits all of it.", p.Drift)})
	}
	return out
}

// openDoubts tell that a reading leaves open on which side of the target grey lies.
func openDoubts(f Facts) []Finding {
	p := f.usable()
	if p == nil {
		return nil
	}
	change, low, high := offTarget(f, p)
	if low > 0 || high < 0 || earnsHold(change, low, high) {
		return nil
	}
	return []Finding{{GreyDoubt, Caution, openInterval(p)}}
}

// openInterval says that grey is not known well enough to tell on which side of the target it lies.
func openInterval(p *placement.Placement) string {
	if !curve.Finite(p.Low) || !curve.Finite(p.High) {
		return "How well grey is known cannot be told, so no correction is sure to help."
	}
	side := func(stops curve.Stops) string { return strings.TrimPrefix(overUnder(stops, 1), "at ") }
	return fmt.Sprintf("Grey is not known well enough for a correction: anything from %s to %s fits, on either side "+
		"of the target.", side(p.Low), side(p.High))
}

// contrary returns the surest other card or chart that says another exposure than the one found,
// nil for none. Where the user points at grey, nothing found counts against it.
func contrary(p *placement.Placement) (worst *placement.Candidate) {
	if p.Carried != "" || p.Method != placement.Card && p.Method != placement.Chart {
		return nil
	}
	for i, c := range p.Candidates {
		off := math.Abs(float64(c.Stops - p.Stops))
		if likely(c) && off > float64(limit.Disagree) && (worst == nil || c.Confidence > worst.Confidence) {
			worst = &p.Candidates[i]
		}
	}
	return worst
}

// likely tells whether a candidate that is not the placement may well be an 18 % reference.
func likely(c placement.Candidate) bool {
	return !c.Used && (c.Method == placement.Card || c.Method == placement.Chart) && c.Confidence >= limit.Likely
}

// candidateWords name a candidate by its place.
func candidateWords(c *placement.Candidate) string {
	words := "another " + string(c.Method)
	if c.Region != nil {
		words += " at " + areaWords(*c)
	}
	return words
}

// areaWords are a candidate's area as --region takes it.
func areaWords(c placement.Candidate) string {
	return fmt.Sprintf("%d,%d,%d,%d", c.Region.X, c.Region.Y, c.Region.W, c.Region.H)
}
