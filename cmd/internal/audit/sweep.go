package audit

import (
	"os"
	"path/filepath"
	"regexp"

	"stopledger/report"
)

// What this program writes into the folder of a report, by name (see report.FileStem and
// report.WriteFile): a file that is not whole, a page and a picture of a clip.
var (
	ownPart    = regexp.MustCompile(`^\..+\.[0-9]+\.part(-journal)?$`)
	ownPage    = regexp.MustCompile(`^[0-9A-Za-z-]+-[0-9a-f]{10}\.html$`)
	ownPicture = regexp.MustCompile(`^[0-9A-Za-z-]+-[0-9a-f]{10}-[0-9a-z-]+\.(jpg|png)$`)
)

// sweepParts removes files that a run that was killed left half written. The folder is locked, so
// nobody is writing them.
func sweepParts(dir string) {
	for _, folder := range []string{"", report.ClipFolder, report.PictureFolder} {
		sweep(filepath.Join(dir, folder), func(name string) bool { return ownPart.MatchString(name) })
	}
}

// sweepStale removes pages and pictures of clips that the report does not have any more. keep holds
// the names of those it has, relative to the folder, with slashes.
func sweepStale(dir string, keep map[string]bool) {
	for folder, own := range map[string]*regexp.Regexp{report.ClipFolder: ownPage, report.PictureFolder: ownPicture} {
		sweep(filepath.Join(dir, folder), func(name string) bool {
			return own.MatchString(name) && !keep[folder+"/"+name]
		})
	}
}

// sweep removes regular files from a folder. What cannot be removed stays, and does no harm.
func sweep(folder string, litter func(name string) bool) {
	files, _ := os.ReadDir(folder)
	for _, f := range files {
		if f.Type().IsRegular() && litter(f.Name()) {
			os.Remove(filepath.Join(folder, f.Name()))
		}
	}
}
