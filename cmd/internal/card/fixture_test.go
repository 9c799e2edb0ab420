package card

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/report"
)

// inFolder makes a folder of files that are not empty, and of folders for names that end in a slash,
// the working folder. A number after a colon is a file's size.
func inFolder(t testing.TB, names ...string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, name := range names {
		makeFile(t, name)
	}
}

func makeFile(t testing.TB, name string) {
	t.Helper()
	folder, content := filepath.Dir(name), "not empty"
	if strings.HasSuffix(name, "/") {
		folder = name
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if folder == name {
		return
	}
	if small, ok := strings.CutSuffix(name, ":small"); ok {
		name, content = small, "tiny"
	}
	if err := os.WriteFile(name, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

func find(t testing.TB, args ...string) Listing {
	t.Helper()
	l, err := Find(context.Background(), args, false, nil)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func names(entries []Entry) []string {
	list := []string{}
	for _, e := range entries {
		list = append(list, filepath.ToSlash(e.Name))
	}
	return list
}

// told is each thing skipped: kind path: reason.
func told(skipped []report.Skip) []string {
	list := []string{}
	for _, s := range skipped {
		list = append(list, string(s.Kind)+" "+filepath.ToSlash(s.Path)+": "+s.Reason)
	}
	return list
}
