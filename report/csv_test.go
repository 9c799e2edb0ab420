package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
)

func csvOf(t *testing.T, doc Document) (text string, rows [][]string) {
	t.Helper()
	var b bytes.Buffer
	if err := WriteCSV(&b, doc); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return b.String(), rows
}

func TestCSV(t *testing.T) {
	text, rows := csvOf(t, day())
	golden(t, "audit.csv", strings.ReplaceAll(text, "\r\n", "\n"))
	if lines, breaks := strings.Count(text, "\n"), strings.Count(text, "\r\n"); lines != breaks || breaks != len(rows) {
		t.Errorf("%d lines, %d of them end in CR LF, %d rows: RFC 4180 section 2 wants all", lines, breaks, len(rows))
	}
	if want := 1 + len(day().Clips) + len(day().Failed); len(rows) != want {
		t.Errorf("%d rows, want %d", len(rows), want)
	}
	seen := map[string]bool{}
	for _, c := range CSVColumns {
		if c.Head == "" || seen[c.Head] {
			t.Errorf("head %q is empty or there twice", c.Head)
		}
		seen[c.Head] = true
	}
}

// Cells of text cannot start a formula; cells of numbers stay numbers, negative ones too.
func TestCSVInjection(t *testing.T) {
	for _, start := range []string{"=", "+", "-", "@", "\t", "\r"} {
		doc := day()
		attack := start + `cmd|'/c calc'!A1`
		c := &doc.Clips[0]
		c.Path, c.Codec, c.Timecode, c.Curve.Name, c.Placement.Carried = attack, attack, attack, attack, attack
		c.Placement.Method, c.Advice.Action, c.Profile, c.Range.Value, c.Matrix.Value = attack, attack, attack, attack, attack
		c.Container, c.Curve.Origin, c.Highlights.Ceiling.Origin = attack, attack, attack
		c.Advice.Findings[0].ID = attack
		doc.Failed[0] = Failure{Path: attack, Error: attack}
		_, rows := csvOf(t, doc)
		attacks := 0
		for _, row := range rows {
			for i, cell := range row {
				if strings.Contains(cell, "calc") {
					attacks++
				}
				if cell == "" || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
					continue
				}
				if _, err := strconv.ParseFloat(cell, 64); err != nil {
					t.Errorf("%s starts with %q: %q", CSVColumns[i].Head, start, cell)
				}
			}
		}
		// Fourteen fields, the error and the failed path; the verdict, too, names the file that
		// grey was carried from.
		if attacks < 16 {
			t.Errorf("only %d cells held the attack: the test misses some", attacks)
		}
	}
	_, rows := csvOf(t, day())
	for i, c := range CSVColumns {
		if c.Head == "next_take_stops" && rows[1][i] != "-1.65" {
			t.Errorf("a negative number became %q", rows[1][i])
		}
	}
}

func TestCSVOfBrokenNumbers(t *testing.T) {
	_, rows := csvOf(t, brokenDay())
	for i, cell := range rows[1] {
		if strings.Contains(cell, "NaN") || strings.Contains(cell, "Inf") {
			t.Errorf("%s: %q", CSVColumns[i].Head, cell)
		}
	}
}

// Every number column of a measured clip reads back as the JSON's number.
func TestCSVNumbersAreTheJSONs(t *testing.T) {
	_, rows := csvOf(t, day())
	c := overClip()
	for head, want := range map[string]float64{
		"placement_stops": roundJSON("stops", c.Placement.Stops), "grey_code": roundJSON("code", c.Placement.Code),
		"floor_stops": -9.12, "snr_db": 33.8, "ceiling_stops": 5.9, "headroom_stops": 2.1, "frame_rate": 23.976024,
		"shutter_s": 0.000125, "iso": 800, "clipped_any": 0, "bits": 10, "duration_s": 4.004,
	} {
		for i, col := range CSVColumns {
			if got, err := strconv.ParseFloat(rows[1][i], 64); col.Head == head && (err != nil || got != want) {
				t.Errorf("%s: got %q, want %g", head, rows[1][i], want)
			}
		}
	}
}
