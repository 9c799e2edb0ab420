// Package reporttest holds what the tests of the report's rooms share: golden files, an invented
// day, an invented shoot with its pictures, and a writer that fails.
package reporttest

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Path returns where a file of testdata/report lies.
func Path(t testing.TB, name string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, "testdata", "report", filepath.FromSlash(name))
		}
		above := filepath.Dir(dir)
		if above == dir {
			t.Fatal("no go.mod lies above the test")
		}
		dir = above
	}
}

// File returns the content of a file of testdata/report.
func File(t testing.TB, name string) []byte {
	t.Helper()
	content, err := os.ReadFile(Path(t, name))
	if err != nil {
		t.Fatalf("%v; write it with go test -update and look at it", err)
	}
	return content
}

// Golden compares text with a file of testdata/report, or with -update writes it.
func Golden(t testing.TB, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(Path(t, name), []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(string(File(t, name)), got); diff != "" {
		t.Errorf("%s differs (-want +got):\n%s", name, diff)
	}
}

// A Failing writer takes Left bytes and then no more.
type Failing struct{ Left int }

// ErrFull is what a Failing writer fails with.
var ErrFull = errors.New("no space left")

// Write takes b whole or not at all.
func (f *Failing) Write(b []byte) (int, error) {
	if f.Left -= len(b); f.Left < 0 {
		return 0, ErrFull
	}
	return len(b), nil
}
