package csv

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

func written(t *testing.T, doc *report.Document) (text string, rows [][]string) {
	t.Helper()
	var b bytes.Buffer
	if err := WriteAudit(&b, doc); err != nil {
		t.Fatal(err)
	}
	return b.String(), readBack(t, b.String())
}

// readBack reads a table with the standard library's reader of RFC 4180.
func readBack(t *testing.T, text string) [][]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func TestAudit(t *testing.T) {
	doc := reporttest.Day(t)
	text, rows := written(t, doc)
	reporttest.Golden(t, "audit.csv", strings.ReplaceAll(text, "\r\n", "\n"))
	if lines, breaks := strings.Count(text, "\n"), strings.Count(text, "\r\n"); lines != breaks || breaks != len(rows) {
		t.Errorf("%d lines, %d of them end in CR LF, %d rows: RFC 4180 section 2 wants all", lines, breaks, len(rows))
	}
	if want := 1 + len(doc.Clips) + len(doc.Failed); len(rows) != want {
		t.Errorf("%d rows, want %d", len(rows), want)
	}
	seen := map[string]bool{}
	for _, c := range Columns {
		if c.Head == "" || c.Doc == "" || seen[c.Head] {
			t.Errorf("head %q is empty, there twice, or says nothing", c.Head)
		}
		seen[c.Head] = true
	}
}

func TestComparison(t *testing.T) {
	c := reporttest.Takes(t)
	var b bytes.Buffer
	if err := WriteComparison(&b, c); err != nil {
		t.Fatal(err)
	}
	reporttest.Golden(t, "compare.csv", strings.ReplaceAll(b.String(), "\r\n", "\n"))
	rows := readBack(t, b.String())
	if len(rows) != 1+3*len(c.Takes[0].Figures) {
		t.Errorf("%d rows", len(rows))
	}
	for _, row := range rows {
		if len(row) != len(comparisonHeads) {
			t.Errorf("a row of %d cells: %q", len(row), row)
		}
	}
}

// Cells of text cannot start a formula; cells of numbers stay numbers, negative ones too.
func TestInjection(t *testing.T) {
	for _, start := range []string{"=", "+", "-", "@", "\t", "\r"} {
		doc := reporttest.Day(t)
		attack := start + `cmd|'/c calc'!A1`
		spoil(&doc.Clips[0], attack)
		doc.Failed[0] = report.Failure{Path: attack, Error: attack}
		_, rows := written(t, doc)
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
					t.Errorf("%s starts with %q: %q", Columns[i].Head, start, cell)
				}
			}
		}
		// Sixteen fields, the error and the failed path.
		if attacks != 18 {
			t.Errorf("%d cells held the attack, want 18", attacks)
		}
	}
	_, rows := written(t, reporttest.Day(t))
	if got := cellOf(rows[1], "next_take_stops"); got != "-1.65" {
		t.Errorf("a negative number became %q", got)
	}
}

// spoil writes an attack into every text of a clip that has a column.
func spoil(c *report.Clip, attack string) {
	c.Path, c.Codec, c.Timecode, c.Curve.Name, c.Placement.Carried = attack, attack, attack, attack, attack
	c.Placement.Method, c.Profile, c.Range.Value, c.Matrix.Value = placement.Method(attack), attack, attack, attack
	c.Advice.Action, c.Advice.Findings[0].ID, c.Advice.Summary = advise.Action(attack), advise.ID(attack), attack
	c.Container, c.Curve.Origin = attack, metadata.Origin(attack)
	c.Highlights.Ceiling.Origin = clipping.Origin(attack)
	c.Advice.After.Display = &onDisplay{File: attack}
}

// cellOf returns the cell of a row under a head.
func cellOf(row []string, head string) string {
	for i, c := range Columns {
		if c.Head == head {
			return row[i]
		}
	}
	return "there is no column " + head
}

func TestBrokenNumbers(t *testing.T) {
	doc := reporttest.Day(t)
	c := &doc.Clips[0]
	c.Placement.Stops, c.FrameRate = curve.Stops(math.NaN()), curve.Amount(math.Inf(1))
	c.Noise.Floor, c.Advice.After.SNR = curve.Stops(math.NaN()), curve.Decibels(math.Inf(-1))
	c.Highlights.Ceiling.Code = curve.Code(math.Inf(1))
	c.Camera.ISO = nil
	_, rows := written(t, doc)
	for _, head := range []string{"placement_stops", "frame_rate", "floor_stops", "snr_db", "ceiling_code", "iso"} {
		if got := cellOf(rows[1], head); got != "" {
			t.Errorf("%s: %q, want an empty cell", head, got)
		}
	}
}

// Where the recording hides its noise, or nothing is known, cells are empty.
func TestEmptyCells(t *testing.T) {
	_, rows := written(t, reporttest.Day(t))
	sky := rows[3]
	for _, head := range []string{"floor_stops", "snr_db", "gain_db", "placement_stops", "placement_weak",
		"placement_method", "iso", "iris_f"} {
		if got := cellOf(sky, head); got != "" {
			t.Errorf("%s of a clip without grey, camera and noise: %q", head, got)
		}
	}
	if got := cellOf(sky, "noise_suppressed"); got != "yes" {
		t.Errorf("noise_suppressed: %q", got)
	}
}

// jsonPlace says where in the JSON document a column's value stands.
var jsonPlace = map[string]string{
	"intended_stops": "advice.intended_stops",
	"path":           "path", "action": "advice.action", "action_stops": "advice.stops",
	"placement_stops":     "placement.stops",
	"placement_low_stops": "placement.low", "placement_high_stops": "placement.high",
	"placement_method": "placement.method",
	"grey_code":        "placement.code", "grey_percent": "placement.percent", "drift_stops": "placement.drift_stops",
	"floor_stops": "noise.floor_stops", "snr_db": "advice.after.snr_db", "nominal_snr_db": "advice.after.nominal_snr_db",
	"gain_db": "advice.after.gain_db", "ceiling_code": "highlights.ceiling.code",
	"ceiling_percent": "highlights.ceiling.percent",
	"ceiling_stops":   "highlights.ceiling.recorded_stops", "ceiling_origin": "highlights.ceiling.origin",
	"headroom_stops": "highlights.headroom_stops", "clipped_r": "highlights.clipped.r",
	"clipped_g": "highlights.clipped.g",
	"clipped_b": "highlights.clipped.b", "clipped_any": "highlights.clipped.any",
	"clipped_all":     "highlights.clipped.all",
	"next_take_stops": "advice.next_take.stops", "next_take_zebra_percent": "advice.next_take.zebra_percent",
	"curve": "curve.name", "curve_origin": "curve.origin", "range": "range.value", "matrix": "matrix.value",
	"container": "container", "codec": "codec", "profile": "profile", "bits": "bits", "width": "width",
	"height":     "height",
	"frame_rate": "frame_rate", "duration_s": "duration_s", "timecode": "timecode", "iso": "camera.iso",
	"exposure_index": "camera.exposure_index", "shutter_s": "camera.shutter_s", "iris_f": "camera.iris_f",
	"white_balance_k": "camera.white_balance_k", "verdict": "advice.summary",
	"offset_stops": "advice.offset_stops", "offset_low_stops": "advice.low_stops",
	"offset_high_stops": "advice.high_stops", "snr_low_db": "advice.after.snr_low_db",
	"snr_high_db":     "advice.after.snr_high_db",
	"floor_low_stops": "noise.floor_low_stops", "floor_high_stops": "noise.floor_high_stops",
	"placement_reading_error_stops":   "placement.reading_error_stops",
	"placement_reference_error_stops": "placement.reference_error_stops",
	"display_file":                    "advice.after.display.file",
	"display_grey_percent":            "advice.after.display.grey_percent",
	"display_ceiling_percent":         "advice.after.display.ceiling_percent",
}

// Every column says what the JSON document says, read back by another reader: numbers as the same
// number, words as the same words, null as an empty cell.
func TestCellsAreTheJSONs(t *testing.T) {
	doc := reporttest.Day(t)
	_, rows := written(t, doc)
	var read struct{ Clips []map[string]any }
	if err := json.Unmarshal(reporttest.File(t, "audit.json"), &read); err != nil {
		t.Fatal(err)
	}
	for i, clip := range read.Clips[:2] { // the third has a name that is neutralised, and hidden noise
		for head, place := range jsonPlace {
			var want any = clip
			for _, name := range strings.Split(place, ".") {
				fields, _ := want.(map[string]any)
				want = fields[name]
			}
			got := cellOf(rows[1+i], head)
			switch want := want.(type) {
			case nil:
				if got != "" {
					t.Errorf("clip %d, %s: %q, where the JSON has null", i, head, got)
				}
			case float64:
				if v, err := strconv.ParseFloat(got, 64); err != nil || v != want {
					t.Errorf("clip %d, %s: %q, want %g", i, head, got, want)
				}
			case string:
				if got != want {
					t.Errorf("clip %d, %s: %q, want %q", i, head, got, want)
				}
			}
		}
	}
}

// No column is left out of the test above but those that only the table has.
func TestEveryColumnIsCompared(t *testing.T) {
	own := map[string]bool{"status": true, "error": true, "needs_person": true, "placement_weak": true,
		"placement_carried_from": true, "noise_suppressed": true, "findings": true, "clipping_undecided": true}
	for _, c := range Columns {
		if _, compared := jsonPlace[c.Head]; compared == own[c.Head] {
			t.Errorf("%s: compared %v, the table's own %v", c.Head, compared, own[c.Head])
		}
	}
}

func TestTablesThatCannotBeWritten(t *testing.T) {
	for _, left := range []int{0, 40, 1500} {
		if err := WriteAudit(&reporttest.Failing{Left: left}, reporttest.Day(t)); !errors.Is(err, reporttest.ErrFull) {
			t.Errorf("an audit with room for %d bytes: %v", left, err)
		}
		if err := WriteComparison(&reporttest.Failing{Left: left}, reporttest.Takes(t)); !errors.Is(err,
			reporttest.ErrFull) {
			t.Errorf("a comparison with room for %d bytes: %v", left, err)
		}
	}
}

// Whatever is not known, or not finite, is an empty cell.
func TestCellsOfUnknown(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, rows := written(t, reporttest.Unknown(v))
		for head, place := range jsonPlace {
			got := cellOf(rows[1], head)
			number := strings.Contains(place, "stops") || strings.HasSuffix(place, "_db") || strings.HasSuffix(place,
				"percent") ||
				strings.HasPrefix(place, "camera.") || strings.HasPrefix(place, "highlights.clipped.")
			if number && got != "" || strings.Contains(got, "NaN") || strings.Contains(got, "Inf") {
				t.Errorf("with %g %s is %q", v, head, got)
			}
		}
	}
}

// Clips that the document does not hold say the same.
func TestStreamedClips(t *testing.T) {
	written := func(d *report.Document) string {
		var b bytes.Buffer
		if err := WriteAudit(&b, d); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	whole := reporttest.Day(t)
	streamed := *whole
	streamed.Clips, streamed.Stream = nil, &report.Stream{Each: whole.EachClip}
	for i := range whole.Clips {
		streamed.Stream.Add(&whole.Clips[i])
	}
	if got, want := written(&streamed), written(whole); got != want {
		t.Errorf("streamed:\n%s\nwhole:\n%s", got, want)
	}
}
