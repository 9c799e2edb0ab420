package card

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

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
}

// A link is one met in a folder.
type link struct {
	root int
	path string
}

func newWalker(ctx context.Context, follow bool) *walker {
	return &walker{ctx: ctx, follow: follow, real: map[string]string{}, inodes: map[identity]string{}}
}

// named lists a path that was asked for. It may be a link.
func (w *walker) named(path string) {
	info, err := os.Stat(path)
	if err == nil && info.IsDir() {
		if real := realPath(path); w.isNew(path, real) && !w.folder(path, real) {
			w.fail(path, "there is no clip in this folder",
				"name a clip; in a folder these are known: "+strings.Join(clipExtensions, " "))
		}
		return
	}
	if real := realPath(path); w.isNew(path, real) && (err != nil || w.isOnly(path, info)) {
		w.clip(path, real, info) // decode says what is wrong with a path that is no file
	}
}

// clip lists a clip named by itself. A picture stands for the numbered ones after it too, which
// then are listed.
func (w *walker) clip(path, real string, info fs.FileInfo) {
	folder, base := filepath.Split(path)
	s, ok := sequenceFrom(folder, base)
	if !ok {
		w.add(item{path: path, size: sizeOf(info), entry: newClip(path)})
		return
	}
	w.markPictures(folder, filepath.Dir(real), s)
	w.add(item{path: path, entry: newSequence(folder, s)})
}

func (w *walker) markPictures(folder, real string, s decode.Sequence) {
	for i := range s.Count {
		w.real[filepath.Join(real, s.Name(i))] = folder + s.Name(i)
	}
}

// folder lists what lies in a folder and below, and reports whether it met anything to list as an
// entry, listed before or not.
func (w *walker) folder(path, real string) (met bool) {
	if w.ctx.Err() != nil {
		return true
	}
	files, err := os.ReadDir(path)
	if err != nil {
		w.unread(path, err)
		met = true
	}
	slices.SortFunc(files, func(a, b fs.DirEntry) int { return naturally(a.Name(), b.Name()) })
	pictures := picturesOf(files)
	report := isReport(files)
	for _, file := range files {
		name := file.Name()
		if report && ofReport(name) {
			continue
		}
		child, there := filepath.Join(path, name), filepath.Join(real, name)
		switch run, inSequence := pictures.run[name]; {
		case file.Type().IsRegular() && inSequence:
			met = w.picture(path, real, name, run, pictures) || met
		case file.IsDir():
			met = w.subfolder(child, there) || met
		default:
			met = w.child(child, there, file) || met
		}
	}
	return met
}

// unread lists a folder that cannot be read, or not to its end.
func (w *walker) unread(path string, err error) {
	if errors.Is(err, fs.ErrPermission) {
		w.fail(path, "the folder cannot be read ("+cause(err)+"): clips in it are not measured", "check its permissions")
		return
	}
	if isTooLong(err) {
		w.tooLong(path, "the folder's path")
		return
	}
	w.fail(path, "the folder cannot be read ("+cause(err)+"): clips in it are not measured",
		"check the card and its reader")
}

func (w *walker) tooLong(path, what string) {
	w.fail(path, what+" is longer than the system can open", "move the folder up, or give it and those above shorter names")
}

// subfolder lists a folder met in another.
func (w *walker) subfolder(path, real string) (met bool) {
	name := filepath.Base(path)
	switch {
	case strings.HasPrefix(name, "."):
		w.skip(path, report.SkipHidden, "a hidden folder: its name begins with a dot; name it by itself to look into it")
		return false
	case systemFolders[strings.ToUpper(name)]:
		w.skip(path, report.SkipHidden, "a folder that the system keeps for itself")
		return false
	case !w.isNew(path, real):
		return true
	}
	return w.folder(path, real)
}

// child lists what is no folder: a clip, a link, or neither.
func (w *walker) child(path, real string, file fs.DirEntry) (met bool) {
	mode := file.Type()
	switch {
	case strings.HasPrefix(file.Name(), "."):
		w.skip(path, report.SkipHidden, "a hidden file: its name begins with a dot")
	case mode&fs.ModeSymlink != 0:
		return w.link(path)
	case !mode.IsRegular():
		w.skip(path, report.SkipSpecial, "a pipe, socket or device, and no file")
	case isClipName(path):
		return w.clipInFolder(path, real, file)
	default:
		info, _ := file.Info()
		w.add(item{path: path, listed: true, size: sizeOf(info), skip: notRead(path)})
	}
	return false
}

func (w *walker) clipInFolder(path, real string, file fs.DirEntry) (met bool) {
	if !w.isNew(path, real) {
		return true
	}
	info, err := file.Info()
	switch {
	case isTooLong(err):
		w.tooLong(path, "the clip's path")
	case err != nil: // decode says what is wrong with it
		w.add(item{path: path, listed: true, entry: newClip(path)})
	case w.isOnly(path, info):
		w.add(item{path: path, listed: true, size: info.Size(), entry: newClip(path)})
	}
	return true
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
