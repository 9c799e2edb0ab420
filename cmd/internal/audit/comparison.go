package audit

import (
	"stopledger/analyze/advise"
	"stopledger/report"
)

// Compare sets the clips of a document side by side, each against the first.
func Compare(doc report.Document) report.Comparison {
	takes := make([]advise.Measured, len(doc.Clips))
	for i := range doc.Clips {
		c := &doc.Clips[i]
		takes[i] = advise.Measured{Path: c.Path, Placement: c.Placement, Noise: &c.Noise.Result, Clipping: &c.Highlights}
	}
	return report.Comparison{Schema: report.CompareSchema, Tool: doc.Tool, Settings: doc.Settings, Clips: doc.Clips,
		Comparison: advise.Compare(takes), Failed: doc.Failed}
}
