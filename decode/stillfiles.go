package decode

import (
	"os"
	"path/filepath"
	"strings"
)

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
