package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/decode"
	"stopledger/report"
)

// fakeMeasure stands in for the instruments: it tells by the clip's name what to answer, so that
// a test says all it means in the names of its files.
func fakeMeasure(_ context.Context, path string, s auditSettings) (report.Clip, analyze.Stills, error) {
	name := filepath.Base(path)
	c := fakeClip(path)
	switch {
	case strings.Contains(name, "bad"):
		return report.Clip{}, analyze.Stills{}, &decode.ClipError{Path: path, What: "the file is cut off", Do: "copy it again"}
	case strings.Contains(name, "panic"):
		var none []int
		_ = none[len(name)]
	case strings.Contains(name, "alarm"):
		c.Advice.Findings = []report.Finding{{ID: "field-clipped", Level: "alarm", Text: "The sky clips."}}
	}
	s.Progress(0.5)
	return c, analyze.Stills{}, nil
}

func fakeClip(path string) report.Clip {
	return report.Clip{
		Path: path, Bits: 10, Width: 1920, Height: 1080, FrameRate: 25,
		Curve:     report.Curve{Name: "S-Log3", Origin: "flag"},
		Placement: &report.Placement{Stops: 1.65, Low: 1.63, High: 1.67, Method: "card", Code: 545, Percent: 54.9},
		Advice: report.Advice{Action: "pull", Stops: 1.65,
			After: report.After{SNR: pointer(31.2), NominalSNR: pointer(22.4), GainDB: pointer(8.8)}},
		Highlights: report.Highlights{Headroom: pointer(2.1)},
	}
}

func pointer(v float64) *float64 { return &v }

// files makes empty files, and folders for names that end in a slash, and returns their folder.
func files(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, "/") {
			if err := os.MkdirAll(path, 0o755); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if err := os.WriteFile(path, []byte("not empty"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// inFolder makes dir the working folder, so that paths in output are short and always the same.
func inFolder(t *testing.T, names ...string) {
	t.Helper()
	t.Chdir(files(t, names...))
}

// call runs the program on arguments with a measurer.
func call(t *testing.T, m measurer, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var o, e bytes.Buffer
	a := app{measure: m, version: "0.0-test", stdout: &o, stderr: &e}
	code = a.run(t.Context(), args)
	return code, o.String(), e.String()
}
