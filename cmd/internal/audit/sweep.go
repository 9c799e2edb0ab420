package audit

import (
	"os"
	"path"
	"path/filepath"
	"regexp"

	"stopledger/report"
)

// What this program writes into the folder of a report, by name (see report.FileStem and
// report.WriteFile): a file that is not whole, a page and a picture of a clip.
var (
	ownPart    = regexp.MustCompile(`^\..+\.[0-9]+\.part(-journal)?$`)
	ownPage    = regexp.MustCompile(`^[0-9A-Za-z-]+-[0-9a-f]{10}\.html$`)
	ownPicture = regexp.MustCompile(`^([0-9A-Za-z-]+-[0-9a-f]{10}-[0-9a-f]{6})-[0-9a-z-]+\.(jpg|png)$`)
)

// sweepParts removes files that a run that was killed left half written. The folder is locked, so
// nobody is writing them.
func sweepParts(dir string) {
	for _, folder := range []string{"", report.ClipFolder, report.PictureFolder} {
		sweep(filepath.Join(dir, folder), func(name string) bool { return ownPart.MatchString(name) })
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
		return ownPage.MatchString(name) && !keep[report.ClipFolder+"/"+name]
	})
	clear(keep)
	for _, name := range doc.Shown() {
		keep[stemOf(path.Base(name))] = true
	}
	sweep(filepath.Join(dir, report.PictureFolder), func(name string) bool {
		return ownPicture.MatchString(name) && !keep[stemOf(name)]
	})
}

// stemOf returns what the names of a clip's pictures begin with; "" of any other name.
func stemOf(name string) string {
	if m := ownPicture.FindStringSubmatch(name); m != nil {
		return m[1]
	}
	return ""
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
