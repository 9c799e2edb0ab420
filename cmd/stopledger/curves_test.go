package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"stopledger/cmd/internal/curvetable"
	"stopledger/curve"
)

func callCurves(t *testing.T, args ...string) string {
	t.Helper()
	var out, talk bytes.Buffer
	if err := (app{stdout: &out, stderr: &talk}).curves(t.Context(), args); err != nil {
		t.Fatalf("curves %v: %v", args, err)
	}
	if talk.Len() > 0 {
		t.Errorf("curves %v talks on stderr: %s", args, talk.String())
	}
	return out.String()
}

func TestCurvesGolden(t *testing.T) {
	for name, args := range map[string]string{
		"curves.txt":           "",
		"curves-over.txt":      "--over 1.65",
		"curves.csv":           "--format csv --over -1",
		"curves.json":          "--format json --ei 1600",
		"curves-slog3.txt":     "slog3 --over 1.65",
		"curves-vlog-clip.txt": "vlog --over 9",
		"curves-logc3.csv":     "logc3 --ei 1600 --range full --format csv",
		"curves-hlg.json":      "hlg --format json --over 2",
		"curves-acescc.txt":    "acescc",
	} {
		t.Run(name, func(t *testing.T) {
			golden(t, name, callCurves(t, strings.Fields(args)...))
		})
	}
}

// The ladder holds what the papers print: code and percent of grey and of two stops over where
// they do (documents as in curve's table).
func TestLadderAgainstPrint(t *testing.T) {
	for _, tc := range []struct {
		name, over    string
		mark          string
		code, percent float64 // NaN where not printed
	}{
		{"slog3", "0", "mid grey", 420, 41},                 // Technical Summary, code table
		{"slog2", "0", "mid grey", 347, 32},                 // S-Log2 Technical Paper, table
		{"vlog", "0", "mid grey", 433, 42},                  // V-Log REFERENCE MANUAL, Fig. 2.2
		{"vlog", "0", "black", 128, 7},                      // 7.3 %
		{"logc4", "2", "over", math.NaN(), 40},              // ALEXA 35 User Manual 9.4
		{"canonlog", "5.321928", "over", 1016, 109},         // 720 %, Table 2: 108.7 %
		{"flog2", "2.321928", "over", 570, 58},              // 90 % card, table 2-2
		{"nlog", "0", "mid grey", 372, 35},                  // Setting Optimal Exposure
		{"log3g10", "0", "mid grey", math.NaN(), 100.0 / 3}, // grey at a third
		{"hlg", "2.473931", "over", math.NaN(), 75},         // 100 % reflector at 75 %, BT.2408
	} {
		var l curvetable.Ladder
		decodeStrictly(t, callCurves(t, tc.name, "--over", tc.over, "--format", "json"), &l)
		found := false
		for _, s := range l.Ladder {
			if s.Mark != tc.mark {
				continue
			}
			found = true
			if !math.IsNaN(tc.code) && math.Abs(float64(s.Code)-tc.code) > 0.51 {
				t.Errorf("%s, %s: code %.2f, printed %.0f", tc.name, tc.mark, s.Code, tc.code)
			}
			if math.Abs(float64(s.Percent)-tc.percent) > 0.51 {
				t.Errorf("%s, %s: %.2f %%, printed %.0f", tc.name, tc.mark, s.Percent, tc.percent)
			}
		}
		if tc.mark == "over" && !found { // on a whole stop, or the step stands already
			found = l.Curve.Over != nil && math.Abs(float64(l.Curve.Over.Percent)-tc.percent) < 0.51
		}
		if !found {
			t.Errorf("%s: no step %q", tc.name, tc.mark)
		}
	}
}

func decodeStrictly(t *testing.T, text string, into any) {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		t.Fatal(err)
	}
}

func TestCurvesListIsWhole(t *testing.T) {
	var d curvetable.Document
	decodeStrictly(t, callCurves(t, "--format", "json"), &d)
	rows, err := csv.NewReader(strings.NewReader(callCurves(t, "--format", "csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	text := callCurves(t)
	if n := len(curve.All()); len(d.Curves) != n || len(rows) != n+1 {
		t.Errorf("%d curves as JSON, %d rows of CSV, want %d", len(d.Curves), len(rows)-1, n)
	}
	for i, c := range curve.All() {
		if d.Curves[i].Name != c.Name || rows[i+1][0] != c.Name || !strings.Contains(text, "\n"+c.Name) {
			t.Errorf("%s is missing from a list", c.Name)
		}
	}
}

func TestCurvesOfAFile(t *testing.T) {
	out := callCurves(t, "../../curve/lut/testdata/slog3-to-linear.clf")
	if !strings.HasPrefix(out, "S-Log3 by file: ") || !strings.Contains(out, "420") {
		t.Errorf("a curve from a file prints as\n%s", out)
	}
}

func TestCurvesMistakes(t *testing.T) {
	for args, says := range map[string]string{
		"slog4":            "nearest are S-Log2, S-Log3",
		"slog3 vlog":       "name one curve",
		"nowhere/mine.clf": "mine.clf",
		"slog3 --ei 800":   "same at every exposure index",
		"logc3 --ei 801":   "it takes 160 200",
		"--ei 801":         "it takes 160 200",
		"--ei 0":           "--ei cannot be 0",
		"--over x":         "--over cannot be \"x\": it takes a number",
		"--over NaN":       "from -20 to 20",
		"--over 21":        "from -20 to 20",
		"--range auto":     "it takes narrow, full",
		"--format xml":     "it takes text, json, csv",
		"--fromat csv":     "did you mean --format?",
	} {
		var out bytes.Buffer
		err := (app{stdout: &out, stderr: &out}).curves(t.Context(), strings.Fields(args))
		var usage *usageError
		if !errors.As(err, &usage) || !strings.Contains(err.Error(), says) {
			t.Errorf("curves %s: %v, want a usage error with %q", args, err, says)
		}
		if out.Len() > 0 {
			t.Errorf("curves %s prints although it fails: %s", args, out.String())
		}
	}
}

func TestCurvesSaysWhenItCannotWrite(t *testing.T) {
	for _, args := range []string{"", "slog3", "--format csv", "slog3 --format csv", "--format json"} {
		a := app{stdout: brokenPipe{}, stderr: brokenPipe{}}
		if err := a.curves(t.Context(), strings.Fields(args)); err == nil {
			t.Errorf("curves %s: the writer's failure was lost", args)
		}
	}
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }
