// Package card finds what lies on a camera's card, or in any folders: the clips to measure, and by
// name everything that is not measured, with the reason.
package card

import (
	"context"
	"slices"

	"stopledger/report"
)

// A Listing is all that lies under the paths asked for. Every file is in it: as an entry, as one of
// an entry's files or their companions, or skipped.
type Listing struct {
	Entries []Entry       // clips, and what looks like clips and cannot be measured, in order
	Skipped []report.Skip // what is not tried, in the same order
}

// Find lists files and folders in the order given, those of a folder in natural order with what
// lies in folders below. A file reached twice, by any path or link, is an entry once. What is named
// by itself is a clip whatever it is called, and a link named by itself is followed; links in
// folders are followed only where follow says so, after everything else, and each target once. No
// pipe or device is opened.
//
// looking is told of each path before it is looked at; it may be nil. The error is that of ctx, which ends a
// long walk.
func Find(ctx context.Context, paths []string, follow bool, looking func(path string)) (Listing, error) {
	w := newWalker(ctx, follow)
	if looking != nil {
		w.looking = looking
	}
	for root, p := range paths {
		w.root = root
		w.named(p)
	}
	if w.followLinks() {
		slices.SortStableFunc(w.found, byPlace)
	}
	if err := ctx.Err(); err != nil {
		return Listing{}, err
	}
	tellCopies(w.found)
	joinSpans(w.found, w.looking)
	return listing(w.found, paths), nil
}

// listing parts what was found into entries and what was skipped.
func listing(found []item, paths []string) Listing {
	l := Listing{Entries: []Entry{}, Skipped: []report.Skip{}}
	for _, f := range found {
		switch {
		case f.skip != nil:
			l.Skipped = append(l.Skipped, report.Skip{Path: report.PlainPath(f.path), Kind: f.skip.kind, Reason: f.skip.reason})
		case f.entry != nil:
			f.entry.Root, f.entry.Below = f.root, below(paths[f.root], f.path)
			l.Entries = append(l.Entries, *f.entry)
		}
	}
	return l
}
