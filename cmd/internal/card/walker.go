package card

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"

	"stopledger/decode"
	"stopledger/report"
)

// A walker lists what it walks over. What was listed before is known by its real path, and a hard
// link by device and inode too; those alone would not do, as some file systems of cards number
// files anew whenever they are looked at.
type walker struct {
	ctx    context.Context
	follow bool
	root   int // of the paths asked for
	found  []item
	real   map[string]string   // real paths of files and folders: as they were listed
	inodes map[identity]string // files with several names: the one listed
	links  []link              // met, to be followed at the end

	reports map[string]bool   // real paths of folders of reports
	looking func(path string) // is told of each path before it is looked at
}

// A link is one met in a folder.
type link struct {
	root int
	path string
}

func newWalker(ctx context.Context, follow bool) *walker {
	return &walker{ctx: ctx, follow: follow, real: map[string]string{}, inodes: map[identity]string{},
		reports: map[string]bool{}, looking: func(string) {}}
}

// isNew reports whether nothing before led to a real path.
func (w *walker) isNew(path, real string) bool {
	first, seen := w.real[real]
	switch {
	case !seen:
		w.real[real] = path
	case filepath.Clean(path) != filepath.Clean(first) && !samePath(path, first):
		w.skip(path, report.SkipSame, "the same as "+first)
	}
	return !seen
}

// samePath tells two ways to write one path, as day and ./day.
func samePath(a, b string) bool {
	x, errA := filepath.Abs(a)
	y, errB := filepath.Abs(b)
	return errA == nil && errB == nil && x == y
}

// isOnly reports whether no other name of a file was listed before.
func (w *walker) isOnly(path string, info fs.FileInfo) bool {
	id, names := identityOf(info)
	if names < 2 {
		return true
	}
	if first, seen := w.inodes[id]; seen {
		w.skip(path, report.SkipSame, "the same file as "+first+" (a hard link)")
		return false
	}
	w.inodes[id] = path
	return true
}

func (w *walker) add(i item) {
	i.root = w.root
	w.found = append(w.found, i)
}

func (w *walker) skip(path string, kind report.SkipKind, reason string) {
	w.add(item{path: path, listed: true, skip: &skip{kind, reason}})
}

func (w *walker) fail(path, what, do string) {
	w.add(item{path: path, entry: &Entry{Path: path, Name: path,
		Err: &decode.ClipError{Path: path, What: what, Do: do, Err: decode.ErrUnreadable}}})
}

// realPath is the absolute path without links. What cannot be followed fails when it is opened.
func realPath(path string) string {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		real = path
	}
	if abs, err := filepath.Abs(real); err == nil {
		return abs
	}
	return real
}

// cause is an error without the path that package os puts before it.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
