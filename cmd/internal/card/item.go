package card

import (
	"cmp"
	"io/fs"
	"path/filepath"
	"strings"

	"stopledger/report"
)

// An item is one thing found: an entry, something skipped, or, with neither, a companion of a clip.
type item struct {
	root   int    // which of the paths asked for it lies under
	path   string // to open
	size   int64  // bytes of a file
	entry  *Entry
	skip   *skip
	listed bool // found in a folder, not named by itself
}

// A skip is why something is not tried.
type skip struct {
	kind   report.SkipKind
	reason string
}

// byPlace orders items as they are found without following links: by the path asked for, then by
// each folder's natural order.
func byPlace(a, b item) int {
	return cmp.Or(cmp.Compare(a.root, b.root), ByPath(a.path, b.path))
}

// ByPath orders slash-separated paths as Find lists them: by each folder's natural order.
func ByPath(a, b string) int {
	const slash = string(filepath.Separator)
	for {
		p, x, inA := strings.Cut(a, slash)
		q, y, inB := strings.Cut(b, slash)
		if c := naturally(p, q); c != 0 || !inA || !inB {
			return cmp.Or(c, cmp.Compare(len(x), len(y)))
		}
		a, b = x, y
	}
}

// below is the path of what was found, from the path asked for on, with slashes: the same wherever a
// folder is mounted. Of what was asked for itself it is the name with that of its folder.
func below(root, path string) string {
	rel, err := filepath.Rel(root, path)
	if err != nil || rel == "." {
		rel = filepath.Join(filepath.Base(filepath.Dir(path)), filepath.Base(path))
	}
	return filepath.ToSlash(rel)
}

// stem is a file's name without its ending, in capitals, for names that belong together.
func stem(path string) string {
	base := filepath.Base(path)
	return strings.ToUpper(strings.TrimSuffix(base, filepath.Ext(base)))
}

// ending is the end of a name from its last dot, in lower case.
func ending(path string) string { return strings.ToLower(filepath.Ext(path)) }

// sizeOf is that of a file that could be looked at, else 0.
func sizeOf(info fs.FileInfo) int64 {
	if info == nil {
		return 0
	}
	return info.Size()
}
