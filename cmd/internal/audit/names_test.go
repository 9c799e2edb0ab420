package audit

import (
	"os"
	"path/filepath"
	"testing"

	"stopledger/report"
)

// A run that is under way is known by the lock in the folder of its report.
func TestFolderLockHasItsName(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "report")
	f, err := PrepareFolder(dir, "audit")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := os.Stat(filepath.Join(dir, report.FolderLock)); err != nil {
		t.Error(err)
	}
}
