package audit

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/decode"
	"stopledger/report"
)

// clipExtensions are the names' endings by which clips are known in a folder; a clip named by
// itself may be called anything. Numbered pictures are one clip (see sequenceFrom).
var clipExtensions = []string{
	".mov", ".mp4", ".m4v", ".mxf", ".mkv", ".webm", ".avi", ".mts", ".m2ts", ".ts", ".mpg", ".mpeg",
	".gxf", ".y4m", ".ivf", ".dv",
}

func isClipName(path string) bool {
	return slices.Contains(clipExtensions, strings.ToLower(filepath.Ext(path)))
}

// sequencesBegin tells of the names in one folder which are the first picture of a sequence.
func sequencesBegin(names []string) map[string]bool {
	begins := map[string]bool{}
	sequences, _ := decode.Sequences(names)
	for _, s := range sequences {
		begins[s.Name(0)] = true
	}
	return begins
}

// sequenceFrom returns the numbered pictures of a folder from the one called base on, as decode
// opens them; ok is false where base is no such picture or the last of them.
func sequenceFrom(folder, base string) (s decode.Sequence, ok bool) {
	if isClipName(base) {
		return s, false // spares reading the folder
	}
	files, err := os.ReadDir(filepath.Clean(folder + "."))
	if err != nil {
		return s, false
	}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name()
	}
	sequences, _ := decode.Sequences(names)
	for _, s := range sequences {
		for i := range s.Count - 1 {
			if s.Name(i) == base {
				s.First, s.Count = s.First+i, s.Count-i
				return s, true
			}
		}
	}
	return s, false
}

// ofReport tells the folder of a report's own pictures, which are no footage.
func ofReport(path string) bool {
	if filepath.Base(path) != report.PictureFolder {
		return false
	}
	_, err := os.Stat(filepath.Join(filepath.Dir(path), auditDocument))
	return err == nil
}
