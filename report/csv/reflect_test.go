package csv

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// change changes one quantity or word of a value; what is neither is left alone.
func change(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(v.Float() + 0.25)
	case reflect.String:
		v.SetString(v.String() + "x")
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	}
}

// field follows a path of Go names from a clip; pointers are followed.
func field(c *report.Clip, path string) reflect.Value {
	v := reflect.ValueOf(c).Elem()
	for _, name := range strings.Split(path, ".") {
		if v = v.FieldByName(name); v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
	}
	return v
}

// Each column follows one field of the document and no other: where the field changes the cell
// does, and every other cell of the row stays. Fields are found by name, not by the columns' code.
func TestEachColumnFollowsOneField(t *testing.T) {
	for path, head := range map[string]string{
		"Path": "path", "Placement.Stops": "placement_stops", "Placement.Low": "placement_low_stops",
		"Placement.High": "placement_high_stops", "Placement.Method": "placement_method",
		"Placement.Weak": "placement_weak", "Placement.Carried": "placement_carried_from",
		"Placement.Percent": "grey_percent", "Placement.Drift": "drift_stops", "Noise.Floor": "floor_stops",
		"Highlights.Headroom": "headroom_stops", "Highlights.Ceiling.Code": "ceiling_code",
		"Highlights.Ceiling.Percent": "ceiling_percent", "Highlights.Ceiling.Recorded": "ceiling_stops",
		"Highlights.Clipped.R": "clipped_r", "Highlights.Clipped.G": "clipped_g", "Highlights.Clipped.B": "clipped_b",
		"Highlights.Clipped.Any": "clipped_any", "Highlights.Clipped.All": "clipped_all", "Curve.Name": "curve",
		"Curve.Origin": "curve_origin", "Range.Value": "range", "Matrix.Value": "matrix", "Container": "container",
		"Codec": "codec", "Profile": "profile", "Bits": "bits", "Width": "width", "Height": "height",
		"FrameRate": "frame_rate", "Duration": "duration_s", "Timecode": "timecode", "Advice.Summary": "verdict",
		"Advice.Stops": "action_stops", "Advice.After.Gain": "gain_db", "Advice.After.Nominal": "nominal_snr_db",
		// Fields that have no column change none.
		"Bytes": "", "PixelFormat": "", "Chroma": "", "Rotation": "", "Frames": "", "Scene.P50": "",
		"Placement.Confidence": "", "Variation.Drift": "", "Sampling.FramesLost": "", "Curve.Source": "",
	} {
		doc := reporttest.Day(t)
		_, before := written(t, doc)
		change(field(&doc.Clips[0], path))
		_, after := written(t, doc)
		var changed []string
		for i, cell := range after[1] {
			if cell != before[1][i] {
				changed = append(changed, Columns[i].Head)
			}
		}
		want := []string{head}
		if head == "" {
			want = nil
		}
		if !slices.Equal(changed, want) {
			t.Errorf("%s changes %q, want %q", path, changed, want)
		}
		for i := range after[2:] {
			if !slices.Equal(after[2+i], before[2+i]) {
				t.Errorf("%s changes the row of another clip", path)
			}
		}
	}
}

// Whatever a name holds, a reader of RFC 4180 gets it back, but for what a spreadsheet would run,
// which has one apostrophe before it, and for controls, which are written out as Go quotes them.
func TestAnyNameReadsBack(t *testing.T) {
	const letters = "a \"',;=+-@\t\n\x1b[日é\u202e"
	all := []rune(letters)
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 81))
		var b strings.Builder
		for range 1 + random.IntN(9) {
			b.WriteRune(all[random.IntN(len(all))])
		}
		name := b.String()
		doc := &report.Document{Clips: []report.Clip{{File: report.File{Path: name, Codec: name}}},
			Failed: []report.Failure{{Path: name, Error: name}}}
		_, rows := written(t, doc)
		for _, got := range []string{rows[1][0], cellOf(rows[1], "codec"), rows[2][0], rows[2][2]} {
			if strings.ContainsFunc(got, func(r rune) bool { return !strconv.IsPrint(r) }) {
				t.Errorf("seed %d: %q is written raw: %q", seed, name, got)
			}
			if strings.ContainsRune("=+-@", rune(name[0])) {
				got = strings.TrimPrefix(got, "'")
			}
			back, err := strconv.Unquote(`"` + strings.ReplaceAll(got, `"`, `\"`) + `"`)
			if err != nil || back != name {
				t.Errorf("seed %d: %q reads back as %q", seed, name, got)
			}
		}
		if len(rows) != 3 || len(rows[1]) != len(Columns) || len(rows[2]) != len(Columns) {
			t.Fatalf("seed %d: %q makes %d rows", seed, name, len(rows))
		}
	}
}

// A failed clip's row has its path and reason, and nothing that could pass for a number.
func TestFailedRows(t *testing.T) {
	_, rows := written(t, &report.Document{Failed: []report.Failure{{Path: "b.mov", Error: "cut off; copy it again"}}})
	for i, cell := range rows[1] {
		want := map[string]string{"path": "b.mov", "status": "failed", "error": "cut off; copy it again"}[Columns[i].Head]
		if cell != want {
			t.Errorf("%s: %q, want %q", Columns[i].Head, cell, want)
		}
	}
}

// Each row of a comparison has the figure it is of: read back, its numbers are the document's to
// the decimals of their unit, and the first take has no difference.
func TestComparisonRowsAreTheFigures(t *testing.T) {
	c := reporttest.Takes(t)
	var b bytes.Buffer
	if err := WriteComparison(&b, c); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := 1
	for i, take := range c.Takes {
		for _, f := range take.Figures {
			row := rows[at]
			at++
			tone := ""
			if f.SceneStops != nil {
				tone = fmt.Sprint(float64(*f.SceneStops))
			}
			want := []string{string(rune('A' + i)), f.Name, f.Unit, tone}
			if got := []string{row[0], row[3], row[4], row[5]}; !slices.Equal(got, want) {
				t.Errorf("row %d is of %q, want %q", at, got, want)
			}
			checkEstimate(t, row[6:9], f.Value)
			var difference *advise.Estimate
			if f.Difference != nil {
				difference = &f.Difference.Estimate
			}
			checkEstimate(t, row[9:12], difference)
			if (row[12] == "") != (f.Difference == nil) || i == 0 && row[2] != "" || i > 0 && row[2] == "" {
				t.Errorf("row %d: %q", at, row)
			}
		}
	}
}

func checkEstimate(t *testing.T, cells []string, e *advise.Estimate) {
	t.Helper()
	if e == nil {
		e = &advise.Estimate{Value: curve.Unknown[curve.Amount](), Low: curve.Unknown[curve.Amount](),
			High: curve.Unknown[curve.Amount]()}
	}
	for i, want := range []curve.Amount{e.Value, e.Low, e.High} {
		v, err := strconv.ParseFloat(cells[i], 64)
		switch {
		case !curve.Finite(want) && cells[i] != "":
			t.Errorf("%q, want an empty cell", cells[i])
		case curve.Finite(want) && (err != nil || v-float64(want) > 0.051 || float64(want)-v > 0.051):
			t.Errorf("%q, want %g", cells[i], float64(want))
		}
	}
}

// What was skipped has a row like a failed clip's, after those.
func TestSkippedRows(t *testing.T) {
	_, rows := written(t, &report.Document{Failed: []report.Failure{{Path: "b.mov"}},
		Skipped: []report.Skip{{Path: "a\n.r3d", Kind: report.SkipNotRead, Reason: "files of kind .r3d are not read"}}})
	if got := rows[2][:4]; !slices.Equal(got, []string{`a\n.r3d`, "skipped", "files of kind .r3d are not read", ""}) {
		t.Errorf("got %q", got)
	}
}
