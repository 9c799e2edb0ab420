// Package footage finds the camera-made files that tests read. README.md tells what each is, where
// it came from and under which licence.
package footage

import (
	"os"
	"path/filepath"
	"testing"
)

// Path returns the path of a camera-made file, named as in README.md ("bad/invalid_nalu.mp4"). It
// lies in this folder or in ../shared/data beside the project, where media are kept that may not be
// committed; where it is in neither the test is skipped.
func Path(t testing.TB, name string) string {
	t.Helper()
	top := project(t)
	for _, folder := range []string{"testdata/footage", "../shared/data"} {
		path := filepath.Join(top, filepath.FromSlash(folder), filepath.FromSlash(name))
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	t.Skipf("%s is not here: it is kept outside the project, in ../shared/data", name)
	return ""
}

// project returns the folder of go.mod, above the test's own.
func project(t testing.TB) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return folder
		}
		above := filepath.Dir(folder)
		if above == folder {
			t.Fatal("no go.mod lies above the test")
		}
		folder = above
	}
}
