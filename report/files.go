package report

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// WriteFile writes a file so that its name never shows half of it: into a temporary file of the
// same folder, synced, then renamed, then the folder synced. On an error the temporary file is
// removed and what had the name before is untouched.
func WriteFile(path string, write func(io.Writer) error) (err error) {
	folder := filepath.Dir(path)
	f, err := os.CreateTemp(folder, "."+filepath.Base(path)+".*.part")
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
			err = fmt.Errorf("%s cannot be written: %w", path, err)
		}
	}()
	b := bufio.NewWriter(f)
	if err := write(b); err != nil {
		return err
	}
	if err := b.Flush(); err != nil {
		return err
	}
	if err := f.Chmod(0o644); err != nil { // CreateTemp made it private
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	syncFolder(folder)
	return nil
}

// syncFolder makes a rename in the folder last through a power cut. Some file systems refuse to
// sync a folder; the file is in place all the same, so that is no error.
func syncFolder(path string) {
	if d, err := os.Open(path); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
