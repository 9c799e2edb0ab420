package reporttest

import (
	"bytes"
	"encoding/json"
	"testing"

	"stopledger/report"
)

// Day is the audit of an invented day of three clips.
func Day(t testing.TB) *report.Document { return audit(t, "audit.json") }

// Takes are the clips of Day side by side.
func Takes(t testing.TB) *report.Comparison {
	t.Helper()
	c, err := report.ReadComparisonJSON(bytes.NewReader(File(t, "compare.json")))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Shoot is the audit of an invented shoot of five clips: over by a card, far over by a face, under
// without a card, with hidden noise, and one of which hardly anything is known.
func Shoot(t testing.TB) *report.Document { return audit(t, "pages/shoot.json") }

// ShootTakes are the first n clips of a shoot side by side, the first two of which decide the
// recommendation.
func ShootTakes(t testing.TB, doc *report.Document, n int) *report.Comparison {
	t.Helper()
	c := &report.Comparison{Schema: report.CompareSchema, Tool: doc.Tool, Settings: doc.Settings,
		Clips: doc.Clips[:n], Failed: doc.Failed}
	if err := json.Unmarshal(File(t, "pages/takes.json"), &c.Comparison); err != nil {
		t.Fatal(err)
	}
	c.Takes = c.Takes[:n]
	return c
}

func audit(t testing.TB, name string) *report.Document {
	t.Helper()
	doc, err := report.ReadJSON(bytes.NewReader(File(t, name)))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}
