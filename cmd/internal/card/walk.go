package card

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/decode"
	"stopledger/report"
)

// named lists a path that was asked for. It may be a link.
func (w *walker) named(path string) {
	w.looking(path)
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
	files, err := w.read(path)
	if err != nil {
		w.unread(path, err)
		met = true
	}
	slices.SortFunc(files, func(a, b fs.DirEntry) int { return naturally(a.Name(), b.Name()) })
	pictures := picturesOf(files)
	ours := w.ours(real, files)
	for _, file := range files {
		name := file.Name()
		if !file.IsDir() && ours(name) {
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

// read reads a folder as os.ReadDir does, but for the order, and some of it at a time: it may be large, and
// far away.
func (w *walker) read(path string) (files []fs.DirEntry, err error) {
	w.looking(path)
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	for {
		const some = 512
		w.looking(path)
		more, err := f.ReadDir(some)
		files = append(files, more...)
		if err == io.EOF {
			return files, nil
		}
		if err != nil {
			return files, err
		}
	}
}

// ours returns what tells the files that a run of this program writes into a folder: its report's.
func (w *walker) ours(real string, files []fs.DirEntry) func(name string) bool {
	above, base := filepath.Split(real)
	switch {
	case isReport(files):
		w.reports[real] = true
		return ofReport
	case w.reports[filepath.Clean(above)] && (base == report.ClipFolder || base == report.PictureFolder):
		return ofClips
	}
	return func(string) bool { return false }
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
	w.fail(path, what+" is longer than the system can open",
		"move the folder up, or give it and those above shorter names")
}

// subfolder lists a folder met in another.
func (w *walker) subfolder(path, real string) (met bool) {
	name := filepath.Base(path)
	switch {
	case strings.HasPrefix(name, "."):
		w.skip(path, report.SkipHidden, "a hidden folder: its name begins with a dot")
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
	w.looking(path)
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
