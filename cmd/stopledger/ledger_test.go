package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"stopledger/report"
)

// What audits kept is told by day, once a clip, as table, JSON, CSV and page.
func TestLedger(t *testing.T) {
	inFolder(t, "card/a.mov", "card/b.mov", "card/c-bad.mov")
	recorded := time.Date(2026, 3, 1, 12, 0, 0, 0, time.Local)
	for _, path := range []string{"card/a.mov", "card/b.mov"} {
		if err := os.Chtimes(path, recorded, recorded); err != nil {
			t.Fatal(err)
		}
	}
	call(t, fakeMeasure, "audit", "--out", "one", "card")
	call(t, fakeMeasure, "audit", "--out", "two", "card/a.mov")

	code, stdout, stderr := call(t, fakeMeasure, "ledger", "--out", "days.html", ".")
	if code != exitMeasured || stderr != "" {
		t.Fatalf("exit code %d, stderr %s", code, stderr)
	}
	for _, part := range []string{"2026-03-01", "+1.65", "2 clips on 1 day, from 2 audits", "1 audited more than once",
		"2 dated by file time", "UTC" + recorded.Format("-07:00")} {
		if !strings.Contains(stdout, part) {
			t.Errorf("it does not say %q:\n%s", part, stdout)
		}
	}
	page, err := os.ReadFile("days.html")
	if err != nil || !strings.Contains(string(page), "Placement by day") || !strings.Contains(string(page), "1.65") {
		t.Errorf("%v; the page has no timeline", err)
	}

	_, stdout, _ = call(t, fakeMeasure, "ledger", "--format", "json", "one", "two")
	var d report.Days
	if err := json.Unmarshal([]byte(stdout), &d); err != nil || d.Schema != "stopledger/ledger/1" || len(d.Days) != 1 ||
		d.Days[0].Groups[0].Placement.Median != 1.65 || d.Days[0].Groups[0].Floor.Clips != 0 ||
		!strings.Contains(stdout, `"median": null`) {
		t.Errorf("%v: %s", err, stdout)
	}
	_, stdout, _ = call(t, fakeMeasure, "ledger", "--format", "csv", "one")
	rows, err := csv.NewReader(strings.NewReader(stdout)).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][0] != "2026-03-01" || rows[1][6] != "2" {
		t.Errorf("%v: %q", err, rows)
	}
	_, stdout, _ = call(t, fakeMeasure, "ledger", "--since", "1d", "one")
	if !strings.Contains(stdout, "0 clips on 0 days") {
		t.Errorf("stdout %s", stdout)
	}
}

func TestLedgerMistakes(t *testing.T) {
	inFolder(t, "card/a.mov", "mine.html")
	call(t, fakeMeasure, "audit", "--out", "one", "card")
	for _, c := range []struct{ args, says string }{
		{"ledger", "name folders"},
		{"ledger card", "there is no ledger"},
		{"ledger none", "none"},
		{"ledger --since soon one", "30d"},
		{"ledger --since 2026-02-30 one", "30d"},
		{"ledger --out mine.html one", "did not write"},
		{"ledger --out card one", "is no file"},
		{"ledger --format xml one", "text, json, csv"},
	} {
		code, _, stderr := call(t, fakeMeasure, strings.Fields(c.args)...)
		if code != exitUsage || !strings.Contains(stderr, c.says) {
			t.Errorf("%s: exit code %d, stderr %s", c.args, code, stderr)
		}
	}
	put(t, "one/ledger.sqlite", "broken")
	if code, stdout, stderr := call(t, fakeMeasure, "ledger", "one"); code != exitBroken ||
		!strings.Contains(stderr, "one/ledger.sqlite") || !strings.Contains(stdout, "0 clips") {
		t.Errorf("exit code %d, stdout %s, stderr %s", code, stdout, stderr)
	}
}
