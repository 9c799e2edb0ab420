package audit

import (
	"os"
	"path"
	"path/filepath"

	"stopledger/report"
)

// sweepParts removes files that a run that was killed left half written. The folder is locked, so
// nobody is writing them.
func sweepParts(dir string) {
	for _, folder := range []string{"", report.ClipFolder, report.PictureFolder} {
		sweep(filepath.Join(dir, folder), report.IsPart)
	}
}

// sweepStale removes pages and pictures of clips that the report does not have any more. The pictures of
// a clip have one stem.
func sweepStale(dir string, doc *report.Document) {
	keep := map[string]bool{}
	for _, path := range doc.Paths() {
		keep[report.ClipPage(path)] = true
	}
	sweep(filepath.Join(dir, report.ClipFolder), func(name string) bool {
		return report.IsClipPage(name) && !keep[report.ClipFolder+"/"+name]
	})
	clear(keep)
	for _, name := range doc.Shown() {
		keep[report.StemOfPicture(path.Base(name))] = true
	}
	sweep(filepath.Join(dir, report.PictureFolder), func(name string) bool {
		stem := report.StemOfPicture(name)
		return stem != "" && !keep[stem]
	})
}

// sweep removes regular files from a folder, which may be large. What cannot be removed stays, and does no
// harm.
func sweep(folder string, litter func(name string) bool) {
	f, err := os.Open(folder)
	if err != nil {
		return
	}
	defer f.Close()
	var stale []string
	for {
		const some = 256
		files, err := f.ReadDir(some)
		for _, file := range files {
			if file.Type().IsRegular() && litter(file.Name()) {
				stale = append(stale, file.Name())
			}
		}
		if err != nil {
			break
		}
	}
	for _, name := range stale {
		os.Remove(filepath.Join(folder, name))
	}
}
