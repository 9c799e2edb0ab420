package report_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	. "stopledger/report"
	"stopledger/report/internal/reporttest"
)

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "audit.txt")
	if err := os.WriteFile(filepath.Join(dir, "foreign"), []byte("stays"), 0o600); err != nil {
		t.Fatal(err)
	}
	write := func(text string, fail error) error {
		return WriteFile(path, func(w io.Writer) error {
			if _, err := io.WriteString(w, text); err != nil {
				return err
			}
			return fail
		})
	}
	if err := write("first", nil); err != nil {
		t.Fatal(err)
	}
	if err := write("second, longer", nil); err != nil {
		t.Fatal(err)
	}
	if err := write(strings.Repeat("half", 1<<16), reporttest.ErrFull); !errors.Is(err, reporttest.ErrFull) ||
		!strings.Contains(err.Error(),
			path) {
		t.Errorf("error %v does not tell cause and file", err)
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != "second, longer" {
		t.Errorf("%v, holds %d bytes", err, len(data))
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm()&0o044 != 0o044 {
		t.Errorf("%v; others cannot read it: %v", err, info.Mode())
	}
	names, err := os.ReadDir(dir)
	if err != nil || len(names) != 2 {
		t.Errorf("%v; left in the folder: %v", err, names)
	}
}

func TestWriteFileWhereItCannot(t *testing.T) {
	dir := t.TempDir()
	nothing := func(io.Writer) error { return nil }
	if err := WriteFile(filepath.Join(dir, "none", "x"), nothing); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("into a folder that is not there: %v", err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "taken", "inner"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(filepath.Join(dir, "taken"), nothing); err == nil {
		t.Error("over a folder: no error")
	}
	if names, _ := os.ReadDir(dir); len(names) != 1 {
		t.Errorf("left behind: %v", names)
	}
}
