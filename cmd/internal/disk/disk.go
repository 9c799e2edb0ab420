// Package disk tells how much room a file system has left, and opens files that may be something else.
package disk

import (
	"errors"
	"io/fs"
	"os"
)

// ErrNoFile is of a folder, pipe, socket or device where a file is wanted.
var ErrNoFile = errors.New("it is a folder, pipe, socket or device; name a file")

// Open opens a file for reading. What is no regular file is refused with ErrNoFile, in an *fs.PathError:
// to open a pipe may take for ever.
func Open(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "open", Path: path, Err: ErrNoFile}
	}
	return os.Open(path)
}
