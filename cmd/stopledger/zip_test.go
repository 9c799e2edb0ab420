package main

import (
	"archive/zip"
	"os"
	"slices"
	"strings"
	"testing"
)

// audit --zip writes the report as one file, too; what is written without it is not in a file of before, and
// that is said; show --zip writes it anew.
func TestZip(t *testing.T) {
	inFolder(t, "card/clip1.mov", "card/clip2.mov")
	if code, _, stderr := call(t, fakeMeasure, "audit", "--zip", "--quiet", "card"); code != exitUsage ||
		!strings.Contains(stderr, "--out") {
		t.Errorf("without a folder it ends with %d: %s", code, stderr)
	}
	if code, _, stderr := call(t, fakeMeasure, "audit", "--zip", "--out", "day12", "card"); code != exitMeasured {
		t.Fatalf("it ends with %d: %s", code, stderr)
	}
	first := zipped(t, "day12/day12.zip")
	for _, want := range []string{"day12/index.html", "day12/audit.json", "day12/audit.csv", "day12/audit.txt"} {
		if !slices.Contains(first, want) {
			t.Errorf("the file holds no %s: %q", want, first)
		}
	}
	if err := os.WriteFile("card/clip3.mov", []byte("more"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := call(t, fakeMeasure, "audit", "--out", "day12", "card"); code != exitMeasured ||
		!strings.Contains(stderr, "day12.zip holds an earlier report") {
		t.Errorf("an old file is not told: %d, %s", code, stderr)
	}
	if code, _, stderr := call(t, fakeMeasure, "show", "--zip", "day12"); code != exitMeasured || stderr != "" {
		t.Errorf("show ends with %d: %s", code, stderr)
	}
	if again := zipped(t, "day12/day12.zip"); len(again) != len(first)+1 {
		t.Errorf("with a clip more it holds %q, before %q", again, first)
	}
}

// zipped returns the names of what a file holds.
func zipped(t *testing.T, name string) (names []string) {
	t.Helper()
	z, err := zip.OpenReader(name)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	for _, f := range z.File {
		names = append(names, f.Name)
	}
	return names
}
