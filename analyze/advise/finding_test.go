package advise

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"testing"
)

// IDs lists every constant of its type, in their order, each name once.
func TestIDsAreAll(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "finding.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var declared, listed []string
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GenDecl:
			for _, spec := range n.Specs {
				if v, ok := spec.(*ast.ValueSpec); ok && n.Tok == token.CONST && v.Names[0].Name != "Note" &&
					v.Names[0].Name != "Caution" && v.Names[0].Name != "Alarm" {
					declared = append(declared, v.Names[0].Name)
				}
			}
		case *ast.CompositeLit:
			for _, e := range n.Elts {
				listed = append(listed, e.(*ast.Ident).Name)
			}
		}
		return true
	})
	if !slices.Equal(declared, listed) || len(listed) < 30 {
		t.Errorf("declared %q, listed %q", declared, listed)
	}
	all := slices.Sorted(slices.Values(IDs()))
	if len(slices.Compact(all)) != len(IDs()) {
		t.Errorf("an id has two names: %q", all)
	}
}
