package house

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strings"
	"testing"
)

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
		if d.Recv == nil || exportedReceiver(d.Recv) && !toldElsewhere[d.Name.Name] {
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

// toldElsewhere are methods that encoding/json tells of.
var toldElsewhere = map[string]bool{"MarshalJSON": true, "UnmarshalJSON": true}

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
func (A) MarshalJSON() {}
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

// leastNoted is the share of exported fields that must be noted.
const leastNoted = 0.95

// Exported fields of exported types say what they hold, with the unit where their type does not. Of
// a struct on one line the type's comment tells.
func TestExportedFieldsAreNoted(t *testing.T) {
	all, set := packages(t)
	noted, fields := 0, 0
	var unsaid []string
	for _, files := range all {
		for _, f := range files {
			for _, field := range exportedFields(f, set) {
				if fields++; field.Doc.Text() != "" || field.Comment.Text() != "" {
					noted++
				} else {
					unsaid = append(unsaid, set.Position(field.Pos()).String())
				}
			}
		}
	}
	share := float64(noted) / float64(fields)
	t.Logf("%d of %d exported fields are noted: %.1f %%", noted, fields, 100*share)
	if share < leastNoted {
		slices.Sort(unsaid)
		t.Errorf("not noted:\n%s", strings.Join(unsaid, "\n"))
	}
}

// exportedFields are the named exported fields of the exported structs of a file that take more than
// a line.
func exportedFields(f *ast.File, set *token.FileSet) (fields []*ast.Field) {
	for _, d := range f.Decls {
		types, ok := d.(*ast.GenDecl)
		if !ok {
			continue
		}
		for _, spec := range types.Specs {
			named, ok := spec.(*ast.TypeSpec)
			if !ok || !named.Name.IsExported() {
				continue
			}
			structure, ok := named.Type.(*ast.StructType)
			if !ok || set.Position(structure.Pos()).Line == set.Position(structure.End()).Line {
				continue
			}
			for _, field := range structure.Fields.List {
				if len(field.Names) > 0 && field.Names[0].IsExported() {
					fields = append(fields, field)
				}
			}
		}
	}
	return fields
}
