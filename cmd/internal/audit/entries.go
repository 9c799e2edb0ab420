package audit

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/decode"
)

// An Entry is a clip to be measured, or a path that cannot be one.
type Entry struct {
	Path string // to open
	Name string // to show: the same but for numbered pictures, shot.[0001-0024].dpx
	Err  error  // why there is nothing to measure; nil for a clip
}

// Find lists the clips of files and folders in the order given, those of a folder in natural
// order with what lies in folders below. A clip reached twice, by any path or link, is listed
// once. Files and folders whose names start with a dot are passed over unless named by
// themselves.
func Find(paths []string) []Entry {
	f := finder{seen: map[string]bool{}}
	for _, p := range paths {
		f.add(p)
	}
	return f.entries
}

type finder struct {
	seen    map[string]bool // real paths of files and folders
	entries []Entry
}

func (f *finder) add(path string) {
	if info, err := os.Stat(path); err != nil || !info.IsDir() {
		f.clip(path) // decode says what is wrong with a path that is no file
		return
	}
	if !f.folder(path) {
		f.fail(path, "there is no clip in this folder",
			"name a clip; in a folder these are known: "+strings.Join(clipExtensions, " "))
	}
}

func (f *finder) fail(path, what, do string) {
	f.entries = append(f.entries, Entry{path, path, &decode.ClipError{Path: path, What: what, Do: do}})
}

// clip lists a clip unless it is listed already. A picture stands for the numbered ones after it
// too, which then are listed.
func (f *finder) clip(path string) {
	if !f.first(path) {
		return
	}
	e := Entry{Path: path, Name: path}
	folder, base := filepath.Split(path)
	if s, ok := sequenceFrom(folder, base); ok {
		e.Name = folder + s.String()
		for i := range s.Count {
			f.first(folder + s.Name(i))
		}
	}
	f.entries = append(f.entries, e)
}

// first reports whether path leads to what no path before has led to. Links are followed, so a
// loop of them ends here.
func (f *finder) first(path string) bool {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		real = path // what cannot be followed fails when it is opened
	}
	if abs, err := filepath.Abs(real); err == nil {
		real = abs
	}
	if f.seen[real] {
		return false
	}
	f.seen[real] = true
	return true
}

// folder lists what lies in a folder and below, and reports whether it met anything to list,
// listed before or not.
func (f *finder) folder(path string) (met bool) {
	if !f.first(path) {
		return true
	}
	files, err := os.ReadDir(path)
	if err != nil {
		f.fail(path, "the folder cannot be read ("+cause(err)+")", "check its permissions")
		return true
	}
	names := make([]string, 0, len(files))
	for _, file := range files {
		if !strings.HasPrefix(file.Name(), ".") {
			names = append(names, file.Name())
		}
	}
	slices.SortFunc(names, naturally)
	begins := sequencesBegin(names)
	for _, name := range names {
		met = f.child(filepath.Join(path, name), begins[name]) || met
	}
	return met
}

// child lists one name of a folder: a folder, a clip, or neither. Pictures are clips where they
// begin a sequence.
func (f *finder) child(path string, begins bool) (met bool) {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return !ofReport(path) && f.folder(path)
	case !begins && !isClipName(path):
		return false
	case err != nil || info.Mode().IsRegular():
		f.clip(path)
		return true
	}
	return false
}

// cause is an error without the path that package os puts before it.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
