package handover

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/report"
)

// earlier returns the files of clips that an earlier run left in the folder and that say another correction
// than this one's, or say one where there is none now; with them the lists that were not written anew.
func (r Request) earlier(a *report.Adjusted, orders []Order) (left []string, err error) {
	for _, refused := range r.Refused {
		if left, err = r.otherThan("", refused.Path, left); err != nil {
			return nil, err
		}
	}
	for _, o := range orders {
		if left, err = r.otherThan(o.change(), o.Clip.Path, left); err != nil {
			return nil, err
		}
	}
	if len(left) > 0 {
		left, err = r.oldLists(a, left)
	}
	slices.Sort(left)
	return slices.Compact(left), err
}

// otherThan adds the files of a clip that do not say its change; with no change, all of its files.
func (r Request) otherThan(change, clipPath string, left []string) ([]string, error) {
	for _, name := range append(namesOf(Stem(clipPath)), namesOf(markedStem(clipPath))...) {
		text, err := headOf(filepath.Join(r.Dir, name))
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return left, err
		case strings.Contains(text, Mark(clipPath)) && (change == "" || !strings.Contains(text, change)):
			left = append(left, name)
		}
	}
	return left, nil
}

// oldLists adds the lists of an earlier run.
func (r Request) oldLists(a *report.Adjusted, left []string) ([]string, error) {
	entries, err := os.ReadDir(r.Dir)
	for _, e := range entries {
		written := slices.ContainsFunc(a.Lists, func(l report.CorrectionList) bool { return l.File == e.Name() })
		if written || !strings.HasPrefix(e.Name(), listStem+"_") ||
			!slices.Contains([]string{".ccc", ".edl", ".otio"}, filepath.Ext(e.Name())) {
			continue
		}
		text, err := headOf(filepath.Join(r.Dir, e.Name()))
		if err != nil {
			return left, err
		}
		if strings.Contains(text, writer) {
			left = append(left, e.Name())
		}
	}
	return left, err
}
