package decode

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/asticode/go-astiav"
)

// stillCodecs are the still pictures that are read, by the ending of the name. They are decoded
// without a demuxer: the files of a sequence are listed here, and no other is opened.
var stillCodecs = map[string]astiav.CodecID{
	".dpx":  astiav.CodecIDDpx,
	".tif":  astiav.CodecIDTiff,
	".tiff": astiav.CodecIDTiff,
	".png":  astiav.CodecIDPng,
	".jpg":  astiav.CodecIDMjpeg,
	".jpeg": astiav.CodecIDMjpeg,
}

// IsPicture tells the name of a still picture of a kind that is read.
func IsPicture(name string) bool {
	_, still := stillCodecs[strings.ToLower(filepath.Ext(name))]
	return still
}

// stillFiles returns the files a path stands for, and how to name them all: a picture that
// begins or is within a numbered sequence stands for it and those after it, a pattern such as
// shot.%06d.dpx for the first run of numbers that fits, any other picture for itself.
func stillFiles(path string) (files []string, name string, ok bool) {
	if _, still := stillCodecs[strings.ToLower(filepath.Ext(path))]; !still {
		return nil, "", false
	}
	folder, base := filepath.Split(path)
	sequence, found := sequenceOf(folder, base)
	if !found {
		return []string{path}, path, true
	}
	for i := range sequence.Count {
		files = append(files, folder+sequence.Name(i))
	}
	return files, folder + sequence.String(), true
}

// sequenceOf looks in the folder for the sequence that a name or a pattern stands for.
func sequenceOf(folder, base string) (Sequence, bool) {
	entries, err := os.ReadDir(filepath.Clean(folder + "."))
	if err != nil {
		return Sequence{}, false
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	sequences, _ := Sequences(names)
	for _, s := range sequences {
		if i := s.find(base); i == s.Count-1 {
			return Sequence{}, false // the last picture stands for itself
		} else if i >= 0 {
			return s.from(i), true
		}
	}
	if _, err := os.Lstat(folder + base); err == nil {
		return Sequence{}, false
	}
	pattern, ok := splitPattern(base)
	for _, s := range sequences {
		if pattern.First = s.First; ok && pattern.Name(0) == s.Name(0) {
			return s, true
		}
	}
	return Sequence{}, false
}

// regular checks that path is a file with something in it that may be read.
func regular(path string) (os.FileInfo, error) {
	stat, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fail(path, ErrUnreadable, err, "there is no such file", "check the path")
	case err != nil:
		return nil, fail(path, ErrUnreadable, err, "the file cannot be looked at", "check the path and its permissions")
	case stat.IsDir():
		return nil, fail(path, ErrUnreadable, nil, "this is a folder", "name a clip in it")
	case !stat.Mode().IsRegular():
		return nil, fail(path, ErrUnreadable, nil, "this is not a file but a pipe, socket or device",
			"copy the clip to a file first")
	case stat.Size() == 0:
		return nil, fail(path, ErrEmpty, nil, "the file is empty", "copy it again from the card")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fail(path, ErrUnreadable, err, "the file cannot be opened", "check its permissions")
	}
	return stat, f.Close()
}
