package audit

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/placement"
	"stopledger/decode"
	"stopledger/report"
)

var errFull = errors.New("no space left")

// fakeMeasure stands in for Measure: it tells by the clip's name what to answer, so that a test
// says all it means in the names of its clips.
func fakeMeasure(_ context.Context, j Job) (report.Clip, error) {
	name := filepath.Base(j.Path)
	switch {
	case strings.Contains(name, "bad"):
		return report.Clip{}, &decode.ClipError{Path: j.Path, What: "the file is cut off", Do: "copy it again"}
	case strings.Contains(name, "panic"):
		var none []int
		_ = none[len(name)]
	}
	j.Progress(0.5)
	return fakeClip(j.Path), nil
}

func fakeClip(path string) report.Clip {
	return report.Clip{File: report.File{Path: path}, Placement: &placement.Placement{Stops: 1.65, Method: placement.Card}}
}

// inFolder makes a folder of files that are not empty, and of folders for names that end in a slash,
// the working folder.
func inFolder(t *testing.T, names ...string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, name := range names {
		folder := filepath.Dir(name)
		if strings.HasSuffix(name, "/") {
			folder = name
		}
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		if folder == name {
			continue
		}
		if err := os.WriteFile(name, []byte("not empty"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
