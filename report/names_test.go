package report_test

import (
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	. "stopledger/report"
)

func TestFileStem(t *testing.T) {
	paths := []string{
		"a/take.mov", "b/take.mov", "a/Take.mov", `a\take.mov`, "../../etc/passwd", "/", "", "..", ".", "CON",
		"день.mov",
		"<img src=x>.mov", "a/\x00\n.mov", strings.Repeat("long", 99) + ".mov", "take\u202e.mov", "take .mov",
	}
	seen := map[string]string{}
	for _, p := range paths {
		stem := FileStem(p)
		folded := strings.ToLower(stem) // some file systems do not tell case
		if other, double := seen[folded]; double {
			t.Errorf("%q and %q are both %q", p, other, stem)
		}
		seen[folded] = p
		if len(stem) > 60 || strings.Trim(stem,
			"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-") != "" || strings.HasPrefix(stem, "-") {
			t.Errorf("%q becomes %q", p, stem)
		}
		if page := ClipPage(p); !filepath.IsLocal(page) || filepath.Dir(page) != ClipFolder {
			t.Errorf("the page of %q is %q", p, page)
		}
	}
}

// Paths that differ only in bytes that are no UTF-8 differ in a document, and so have pages of their
// own; valid ones stay as they are.
func TestPlainPath(t *testing.T) {
	for path, want := range map[string]string{
		"a/b.mov": "a/b.mov", "день.mov": "день.mov", "a\xff.mov": "a\ufffdff.mov", "a\xfe.mov": "a\ufffdfe.mov",
		"a\ufffdff.mov": "a\ufffd\ufffdff.mov", "\xc3(\xa9": "\ufffdc3(\ufffda9", `a\xff`: `a\xff`,
	} {
		if got := PlainPath(path); got != want {
			t.Errorf("%q becomes %q, want %q", path, got, want)
		}
	}
}

func FuzzPlainPath(f *testing.F) {
	f.Add("a\xff", "a\ufffdff")
	f.Add("\xff\xfe", "\xfe\xff")
	f.Fuzz(func(t *testing.T, a, b string) {
		x, y := PlainPath(a), PlainPath(b)
		if !utf8.ValidString(x) || (x == y) != (a == b) || (FileStem(x) == FileStem(y)) != (a == b) {
			t.Errorf("%q becomes %q, %q becomes %q", a, x, b, y)
		}
	})
}

func FuzzFileStem(f *testing.F) {
	f.Add("a/b.mov")
	f.Add("../\xff/..")
	f.Fuzz(func(t *testing.T, path string) {
		if page := ClipPage(path); !filepath.IsLocal(page) || strings.ContainsAny(page, `<>"'&\ `) {
			t.Errorf("the page of %q is %q", path, page)
		}
	})
}

func TestClipNameAndDir(t *testing.T) {
	for path, want := range map[string][2]string{
		"a/b/c.mov": {"a/b", "c.mov"}, "c.mov": {".", "c.mov"}, "/c.mov": {"/", "c.mov"}, `d:\day\c.mov`: {`d:\day`,
			"c.mov"},
	} {
		if got := [2]string{ClipDir(path), ClipName(path)}; got != want {
			t.Errorf("%q is %q, want %q", path, got, want)
		}
	}
}

func TestSharedFolders(t *testing.T) {
	for want, paths := range map[string][]string{
		"/shoot/":  {"/shoot/day1/a.mov", "/shoot/day2/b.mov"},
		"/":        {"/shoot/a.mov", "/shoot/day/b.mov"},
		"a/b/":     {"a/b/c/x.mov", "a/b/c/y.mov"},
		"":         {"x.mov", "a/y.mov"},
		`d:\`:      {`d:\one\x.mov`, `d:\two\y.mov`},
		"/deep/x/": {"/deep/x/y/a.mov"},
	} {
		if got := SharedFolders(paths); got != want {
			t.Errorf("%q share %q, want %q", paths, got, want)
		}
	}
	if got := SharedFolders(nil); got != "" {
		t.Errorf("no clips share %q", got)
	}
}
