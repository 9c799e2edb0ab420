package house

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// The files of a package are a stack: each refers to what those below it declare, and none of them
// refers back.
func TestFilesAreStacked(t *testing.T) {
	all, set := packages(t)
	for _, folder := range slices.Sorted(maps.Keys(all)) {
		for _, cycle := range cycles(references(all[folder], set)) {
			t.Errorf("%s: these files refer to each other: %s", folder, strings.Join(cycle, ", "))
		}
	}
}

// references returns, for each file of a package, the files whose top-level names it uses. Names
// of methods are not followed, but the receiver of a method is a name.
func references(files []*ast.File, set *token.FileSet) map[string][]string {
	declaredIn := map[string]string{}
	name := func(f *ast.File) string { return filepath.Base(set.Position(f.Pos()).Filename) }
	for _, f := range files {
		for declared := range f.Scope.Objects {
			declaredIn[declared] = name(f)
		}
	}
	uses := map[string][]string{}
	for _, f := range files {
		uses[name(f)] = nil
		for _, used := range f.Unresolved {
			if in := declaredIn[used.Name]; in != "" && in != name(f) && !slices.Contains(uses[name(f)], in) {
				uses[name(f)] = append(uses[name(f)], in)
			}
		}
	}
	return uses
}

// cycles returns the groups of files that reach each other.
func cycles(uses map[string][]string) (found [][]string) {
	names := slices.Sorted(maps.Keys(uses))
	graph := simple.NewDirectedGraph()
	for i := range names {
		graph.AddNode(simple.Node(i))
	}
	for i, file := range names {
		for _, used := range uses[file] {
			graph.SetEdge(graph.NewEdge(simple.Node(i), simple.Node(slices.Index(names, used))))
		}
	}
	for _, group := range topo.TarjanSCC(graph) {
		var cycle []string
		for _, node := range group {
			cycle = append(cycle, names[node.ID()])
		}
		if slices.Sort(cycle); len(cycle) > 1 {
			found = append(found, cycle)
		}
	}
	return found
}

func TestReferencesAndCycles(t *testing.T) {
	set := token.NewFileSet()
	var files []*ast.File
	for name, source := range map[string]string{
		"top.go":    "package p\nfunc Top() { middle(low) }",
		"middle.go": "package p\nfunc middle(low int) int { return low }", // a parameter of that name is no reference
		"low.go":    "package p\nvar low = 1\nfunc (t under) back() { Top() }",
		"under.go":  "package p\ntype under struct{ low int }",
	} {
		f, err := parser.ParseFile(set, name, source, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	uses := references(files, set)
	slices.Sort(uses["top.go"])
	if !slices.Equal(uses["top.go"], []string{"low.go", "middle.go"}) ||
		len(uses["middle.go"]) != 0 || len(uses["low.go"]) != 2 || len(uses["under.go"]) != 0 {
		t.Errorf("references: %q", uses)
	}
	found := cycles(uses)
	if len(found) != 1 || !slices.Equal(found[0], []string{"low.go", "top.go"}) {
		t.Errorf("cycles: %q", found)
	}
}
