package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The plan of the house: what each package may see, of ours and of others'. "std" is the standard
// library, which all may use. Data flows one way, decode -> analyze -> report; curve is pure; only
// decode, with its synthetic camera, sees FFmpeg.
var house = map[string][]string{
	"curve":              {"github.com/agnivade/levenshtein"},
	"decode":             {"C", "github.com/asticode/go-astiav"},
	"decode/acquisition": {},
	"decode/synth":       {"C", "github.com/asticode/go-astiav", "curve", "decode"},
	"analyze":            {"analyze/find", "curve", "decode", "gonum.org/v1/gonum"},
	"analyze/find":       {"curve", "decode", "gonum.org/v1/gonum", "github.com/esimov/pigo"},
	"report":             {"analyze", "analyze/find", "curve", "gonum.org/v1/plot", "github.com/mattn/go-runewidth", "golang.org/x/image"},
	"cmd/stopledger": {"analyze", "curve", "decode", "decode/acquisition", "decode/synth", "report",
		"github.com/spf13/pflag", "github.com/vbauerster", "github.com/agnivade/levenshtein"},
}

const (
	root   = "../.."
	module = "stopledger/"
)

// packages parses the project, without tests, by folder.
func packages(t *testing.T) (map[string][]*ast.File, *token.FileSet) {
	t.Helper()
	files, set := map[string][]*ast.File{}, token.NewFileSet()
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		name := filepath.Base(path)
		switch {
		case err != nil:
			return err
		case d.IsDir() && path != root && (strings.HasPrefix(name, ".") && name != ".." || name == "testdata"):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		f, err := parser.ParseFile(set, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		folder, err := filepath.Rel(root, filepath.Dir(path))
		files[filepath.ToSlash(folder)] = append(files[filepath.ToSlash(folder)], f)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files, set
}

func TestHouseImports(t *testing.T) {
	all, set := packages(t)
	for folder := range house {
		if len(all[folder]) == 0 {
			t.Errorf("there is no package %s", folder)
		}
	}
	for folder, files := range all {
		allowed, planned := house[folder]
		if !planned {
			t.Errorf("package %s is not in the plan of the house", folder)
		}
		for _, f := range files {
			for _, i := range f.Imports {
				path, err := strconv.Unquote(i.Path.Value)
				if err != nil {
					t.Fatal(err)
				}
				if !mayImport(allowed, path) {
					t.Errorf("%s: %s may not import %s", set.Position(i.Pos()), folder, path)
				}
			}
		}
	}
}

// mayImport tells whether a path is of the standard library or allowed. Of others' modules all
// packages are; of ours only the one named.
func mayImport(allowed []string, path string) bool {
	if ours, ok := strings.CutPrefix(path, module); ok {
		return slices.Contains(allowed, ours)
	}
	host, _, _ := strings.Cut(path, "/")
	if path != "C" && !strings.Contains(host, ".") {
		return true
	}
	return slices.ContainsFunc(allowed, func(a string) bool { return path == a || strings.HasPrefix(path, a+"/") })
}

func TestMayImport(t *testing.T) {
	for _, c := range []struct {
		folder, path string
		want         bool
	}{
		{"curve", "math", true}, {"curve", "stopledger/decode", false}, {"curve", "gonum.org/v1/gonum/stat", false},
		{"decode", "C", true}, {"decode", "github.com/asticode/go-astiav", true}, {"decode", "stopledger/curve", false},
		{"decode/acquisition", "encoding/xml", true}, {"decode/acquisition", "golang.org/x/text", false},
		{"analyze", "C", false}, {"analyze", "stopledger/report", false}, {"analyze", "github.com/asticode/go-astiav", false},
		{"analyze", "stopledger/decode/synth", false}, {"report", "stopledger/decode", false}, {"report", "gonum.org/v1/plot/vg", true},
		{"cmd/stopledger", "github.com/asticode/go-astiav", false}, {"analyze/find", "stopledger/analyze", false},
	} {
		if got := mayImport(house[c.folder], c.path); got != c.want {
			t.Errorf("%s and %s: %v", c.folder, c.path, got)
		}
	}
}

// Every package says what it is for, and everything exported what it is.
func TestEverythingExportedIsDocumented(t *testing.T) {
	all, set := packages(t)
	for folder, files := range all {
		if !slices.ContainsFunc(files, func(f *ast.File) bool { return f.Doc != nil }) {
			t.Errorf("package %s has no comment", folder)
		}
		for _, f := range files {
			for _, d := range f.Decls {
				for _, name := range undocumented(d) {
					t.Errorf("%s: %s has no comment", set.Position(name.Pos()), name.Name)
				}
			}
		}
	}
}

// undocumented returns the exported names of a declaration that neither it nor their own line says
// anything about.
func undocumented(d ast.Decl) (names []*ast.Ident) {
	note := func(name *ast.Ident, comments ...*ast.CommentGroup) {
		said := slices.ContainsFunc(comments, func(c *ast.CommentGroup) bool { return c.Text() != "" })
		if name.IsExported() && !said {
			names = append(names, name)
		}
	}
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Recv == nil || exportedReceiver(d.Recv) {
			note(d.Name, d.Doc)
		}
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch s := spec.(type) {
			case *ast.TypeSpec:
				note(s.Name, d.Doc, s.Doc)
			case *ast.ValueSpec:
				for _, name := range s.Names {
					note(name, d.Doc, s.Doc, s.Comment)
				}
			}
		}
	}
	return names
}

func exportedReceiver(list *ast.FieldList) bool {
	of := list.List[0].Type
	if star, ok := of.(*ast.StarExpr); ok {
		of = star.X
	}
	name, ok := of.(*ast.Ident)
	return ok && name.IsExported()
}

func TestUndocumented(t *testing.T) {
	source := `package p
// A is said.
type A struct{}
type B struct{}
func (A) Method() {}
func (b) Method() {}
// Said is.
func Said() {}
func Unsaid() {}
const (
	X = 1 // said
	Y = 2
)
// Both are said.
const ( V = 1; W = 2 )
func hidden() {}
`
	f, err := parser.ParseFile(token.NewFileSet(), "p.go", source, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, d := range f.Decls {
		for _, n := range undocumented(d) {
			names = append(names, n.Name)
		}
	}
	if want := []string{"B", "Method", "Unsaid", "Y"}; !slices.Equal(names, want) {
		t.Errorf("got %q, want %q", names, want)
	}
}

// The top of the house holds these and nothing more; what begins with a dot, and what git leaves
// out, is not looked at.
func TestTopOfTheHouse(t *testing.T) {
	planned := []string{"cmd", "analyze", "decode", "curve", "report", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE"}
	ignored := strings.Fields(string(mustRead(t, filepath.Join(root, ".gitignore"))))
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		name := e.Name()
		left := slices.ContainsFunc(ignored, func(pattern string) bool {
			ok, _ := filepath.Match(strings.Trim(pattern, "/"), name)
			return ok
		})
		if !left && !strings.HasPrefix(name, ".") && !slices.Contains(planned, name) {
			t.Errorf("%s lies at the top of the project", name)
		}
	}
}
