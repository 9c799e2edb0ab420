package disturb

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"stopledger/cmd/internal/runlog"
	"stopledger/report/ledger"
)

func TestReports(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"audit.json", "clips/a.html", ledger.FileName, runlog.Name} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	all, err := ReadReport(dir)
	if err != nil || len(all) != 4 || all["clips/a.html"] != "clips/a.html" {
		t.Fatalf("%v, %v", all, err)
	}
	r := all.WithoutTimes()
	if len(r) != 2 || len(r.Differences(r)) != 0 {
		t.Errorf("%v differs from itself: %q", r, r.Differences(r))
	}
	got := r.Differences(Report{"audit.json": "other", "audit.csv": "missing"})
	want := []string{"audit.csv is not as of an undisturbed run", "audit.json is not as of an undisturbed run",
		"clips/a.html is left behind"}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if _, err := ReadReport(filepath.Join(dir, "none")); err == nil {
		t.Error("a folder that is not there is a report")
	}
}
