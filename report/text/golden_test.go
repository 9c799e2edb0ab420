package text

import (
	"bytes"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/report"
)

const goldens = "../../testdata/report"

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares text with a file in testdata/report.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(goldens, name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; write it with go test -update and look at it", err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got):\n%s", path, diff)
	}
}

// day is the audit of an invented day, from the golden file that package report keeps.
func day(t testing.TB) *report.Document {
	t.Helper()
	doc, err := report.ReadJSON(opened(t, "audit.json"))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// takes is the comparison of the same clips.
func takes(t testing.TB) *report.Comparison {
	t.Helper()
	c, err := report.ReadComparisonJSON(opened(t, "compare.json"))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func opened(t testing.TB, name string) *bytes.Reader {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(goldens, name))
	if err != nil {
		t.Fatal(err)
	}
	return bytes.NewReader(file)
}

// A failing takes some bytes and then no more.
type failing struct{ left int }

var errFull = errors.New("no space left")

func (f *failing) Write(b []byte) (int, error) {
	if f.left -= len(b); f.left < 0 {
		return 0, errFull
	}
	return len(b), nil
}
