package house

import (
	"bufio"
	"bytes"
	"go/ast"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// Sizes of the house (common practice, no source): what a reader takes in at once.
const (
	longestLine     = 120 // characters
	longestFunction = 60  // lines
	typicalFunction = 30  // lines, of 95 in a hundred
	mostFiles       = 24  // of Go in a folder, without tests
)

// No line of Go is longer than fits beside another on a screen.
func TestLinesAreShort(t *testing.T) {
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		lines := bufio.NewScanner(bytes.NewReader(content(t, path)))
		lines.Buffer(nil, 1<<20)
		for n := 1; lines.Scan(); n++ {
			if long := utf8.RuneCount(lines.Bytes()); long > longestLine {
				t.Errorf("%s:%d: %d characters", path, n, long)
			}
		}
		return lines.Err()
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestFunctionsAreShort(t *testing.T) {
	all, set := packages(t)
	var lengths []int
	for _, files := range all {
		for _, f := range files {
			for _, d := range f.Decls {
				function, ok := d.(*ast.FuncDecl)
				if !ok {
					continue
				}
				lines := set.Position(function.End()).Line - set.Position(function.Pos()).Line + 1
				if lengths = append(lengths, lines); lines > longestFunction {
					t.Errorf("%s: %s has %d lines", set.Position(function.Pos()), function.Name.Name, lines)
				}
			}
		}
	}
	slices.Sort(lengths)
	if typical := lengths[len(lengths)*95/100]; typical > typicalFunction {
		t.Errorf("95 in a hundred functions have up to %d lines, not %d", typical, typicalFunction)
	}
}

func TestFoldersAreSmall(t *testing.T) {
	all, _ := packages(t)
	for folder, files := range all {
		if len(files) > mostFiles {
			t.Errorf("%s holds %d Go files without tests", folder, len(files))
		}
	}
}
