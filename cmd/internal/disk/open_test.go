package disk

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// Files are opened, what is none is refused.
func TestOpen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	for name, want := range map[string]error{filepath.Dir(path): ErrNoFile, os.DevNull: ErrNoFile,
		path + "none": fs.ErrNotExist} {
		var told *fs.PathError
		if _, err := Open(name); !errors.Is(err, want) || !errors.As(err, &told) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
