package disturb

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"stopledger/cmd/internal/runlog"
	"stopledger/report/ledger"
)

// A Report is the files of a report's folder by name, with slashes, and what is in them.
type Report map[string]string

// ReadReport reads all files of a folder.
func ReadReport(dir string) (Report, error) {
	r := Report{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		r[filepath.ToSlash(name)] = string(content)
		return err
	})
	return r, err
}

// WithoutTimes is a report without its ledger and its log, which hold times: all that two runs over
// the same clips have in common, to the byte.
func (r Report) WithoutTimes() Report {
	out := maps.Clone(r)
	delete(out, ledger.FileName)
	delete(out, runlog.Name)
	return out
}

// Differences says in which files a report differs from the one that is wanted.
func (r Report) Differences(want Report) (told []string) {
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if r[name] != want[name] {
			told = append(told, name+" is not as of an undisturbed run")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(r)) {
		if _, wanted := want[name]; !wanted {
			told = append(told, name+" is left behind")
		}
	}
	return told
}
