// Package house holds the plan of the project as tests: what each package may see, and how large,
// how said and how ordered its parts are. It has nothing else.
package house

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
// decode, with its synthetic camera, sees FFmpeg. Rooms that only tests see are at the end, with the
// scenes that cmd/retune shares with the detector's tests.
var house = map[string][]string{
	"curve":                     {"github.com/agnivade/levenshtein"},
	"curve/adjust":              {"curve"},
	"curve/lut":                 {"curve"},
	"decode":                    {"C", "decode/gop", "github.com/asticode/go-astiav"},
	"decode/gop":                {},
	"decode/geometry":           {gonum},
	"decode/metadata":           {"curve", "decode/metadata/container"},
	"decode/metadata/container": {},
	"decode/synth":              {"curve", "decode", "decode/geometry", "decode/synth/encode", "decode/synth/random"},

	"decode/synth/encode":  {"C", "github.com/asticode/go-astiav", "decode"},
	"decode/synth/random":  {},
	"decode/synth/footage": {"curve", "decode/geometry", "decode/synth"},

	"analyze/limit":   {"curve"},
	"analyze/rule":    {"analyze/limit", "curve", "decode/metadata"},
	"analyze/robust":  {gonum},
	"analyze/display": {"curve", "curve/lut"},
	"analyze/cells":   {"C", "analyze/internal/aside", "curve", "decode"},
	"analyze/detect": {"analyze/detect/lattice", "analyze/detect/pyramid", "analyze/display", "analyze/robust",
		"curve", "decode", "decode/geometry", gonum, "github.com/esimov/pigo"},
	"analyze/detect/lattice": {"analyze/detect/pyramid", "decode/geometry"},
	"analyze/detect/pyramid": {"analyze/robust", "curve", "decode", "decode/geometry"},
	"analyze/overlay":        {"analyze/cells", "curve", "decode/geometry"},
	"analyze/levels":         {"analyze/cells", "analyze/limit", "analyze/robust", "curve"},
	"analyze/noise":          {"C", "analyze/cells", "analyze/limit", "analyze/robust", "curve", "decode", gonum},
	"analyze/clipping": {"C", "analyze/cells", "analyze/limit", "analyze/robust",
		"curve", "decode", "decode/geometry", gonum},
	"analyze/placement": {"analyze/cells", "analyze/detect", "analyze/levels", "analyze/limit",
		"curve", "decode", "decode/geometry", gonum},
	"analyze/variation": {"analyze/cells", "analyze/levels", "analyze/limit", "analyze/placement", "analyze/robust",
		"curve", gonum},
	"analyze/plan": {"analyze/clipping", "analyze/limit", "analyze/noise", "analyze/placement", "analyze/robust",
		"curve"},
	"analyze/still": {"analyze/cells", "analyze/internal/aside", "analyze/levels", "curve", "decode", "decode/geometry"},
	"analyze": {"analyze/cells", "analyze/clipping", "analyze/display", "analyze/internal/aside", "analyze/levels",
		"analyze/limit", "analyze/noise", "analyze/overlay", "analyze/placement", "analyze/plan", "analyze/robust",
		"analyze/rule", "analyze/still", "analyze/variation",
		"curve", "decode", "decode/geometry", "decode/metadata"},
	"analyze/match": {"analyze/limit", "analyze/placement", "analyze/robust", "analyze/still", "curve", gonum},
	"analyze/advise": {"analyze/clipping", "analyze/detect", "analyze/display", "analyze/levels", "analyze/limit",
		"analyze/noise", "analyze/overlay", "analyze/placement", "analyze/rule", "analyze/variation",
		"curve", "decode/metadata"},

	"report": {"analyze", "analyze/advise", "analyze/clipping", "analyze/levels", "analyze/match", "analyze/noise",
		"analyze/placement", "analyze/plan", "analyze/variation", "curve", "decode/geometry", "decode/metadata"},
	"report/ledger": {"curve", "github.com/mattn/go-sqlite3"},
	"report/text": {"analyze/advise", "analyze/clipping", "analyze/noise", "analyze/plan", "curve", "decode/metadata",
		"report",
		"github.com/mattn/go-runewidth"},
	"report/schema": {"report"},
	"report/csv": {"analyze/advise", "analyze/placement", "analyze/plan", "curve", "decode/metadata", "report",
		"report/text"},
	"report/chart": {"analyze/advise", "analyze/levels", "analyze/limit", "analyze/noise", "curve",
		"decode/metadata", "report", "report/text", "gonum.org/v1/plot"},
	"report/guide": {"analyze/plan", "decode/metadata", "report", "report/text", "golang.org/x/image",
		"gonum.org/v1/plot", "codeberg.org/go-fonts/liberation", "codeberg.org/go-pdf/fpdf"},
	"report/picture": {"analyze/display", "analyze/still", "curve", "decode/geometry", "decode/metadata",
		"report", "golang.org/x/image", "golang.org/x/sync"},
	"report/archive":  {"report", "report/html", "report/picture"},
	"report/handover": {"analyze/advise", "curve", "curve/adjust", "decode/metadata", "report", "report/text"},
	"report/html": {"analyze", "analyze/advise", "analyze/clipping", "analyze/display", "analyze/levels", "analyze/limit",
		"analyze/placement", "curve", "decode/metadata",
		"report", "report/chart", "report/handover", "report/picture", "report/text", "golang.org/x/sync"},

	"cmd/internal/card":       {"cmd/internal/disk", "decode", "decode/metadata/container", "report"},
	"cmd/internal/exact":      {},
	"cmd/internal/worker":     {"github.com/landlock-lsm/go-landlock", "golang.org/x/sync", "golang.org/x/sys"},
	"cmd/internal/terminal":   {"report/text", "github.com/vbauerster"},
	"cmd/internal/manual":     {"github.com/spf13/pflag"},
	"cmd/internal/curvetable": {"curve", "decode/metadata", "report/text"},

	"cmd/internal/spelling": {"github.com/agnivade/levenshtein"},
	"cmd/internal/tomlfile": {"cmd/internal/disk", "cmd/internal/spelling", "github.com/pelletier/go-toml/v2"},
	"cmd/internal/rules":    {"analyze/advise", "analyze/rule", "cmd/internal/spelling", "cmd/internal/tomlfile", "curve"},
	"cmd/internal/profile": {"analyze/clipping", "analyze/noise", "analyze/plan", "cmd/internal/tomlfile", "curve",
		"github.com/pelletier/go-toml/v2"},
	"cmd/internal/shoot": {"analyze/plan", "cmd/internal/audit", "cmd/internal/profile", "report", "report/csv",
		"report/guide",
		"report/html", "report/text"},
	"cmd/internal/config":  {"cmd/internal/tomlfile", "curve", "github.com/adrg/xdg"},
	"cmd/internal/disk":    {"golang.org/x/sys"},
	"cmd/internal/runlog":  {"analyze", "cmd/internal/audit", "cmd/internal/card", "report"},
	"cmd/internal/history": {"analyze/robust", "curve", "report", "report/ledger"},
	"cmd/internal/watch": {"cmd/internal/audit", "cmd/internal/card",
		"github.com/fsnotify/fsnotify", "golang.org/x/sys"},
	"cmd/internal/audit": {"analyze", "analyze/advise", "analyze/display", "analyze/noise",
		"analyze/placement", "analyze/plan", "analyze/still", "cmd/internal/card", "cmd/internal/disk",
		"cmd/internal/exact", "cmd/internal/worker", "curve", "curve/lut", "decode", "decode/geometry", "decode/metadata",
		"report", "report/archive", "report/csv", "report/html", "report/ledger", "report/picture", "report/text"},
	"cmd/cluster": {},
	"cmd/internal/matching": {"analyze/match", "analyze/still", "cmd/internal/audit", "curve", "report", "report/html",
		"report/picture"},
	"cmd/stopledger": {"analyze", "analyze/display", "analyze/placement", "analyze/plan", "cmd/cluster",
		"cmd/internal/audit", "cmd/internal/card", "cmd/internal/config", "cmd/internal/curvetable",
		"cmd/internal/disk", "cmd/internal/history", "cmd/internal/manual", "cmd/internal/matching",
		"cmd/internal/profile", "cmd/internal/rules", "cmd/internal/runlog", "cmd/internal/spelling",
		"cmd/internal/shoot", "cmd/internal/terminal", "cmd/internal/watch", "curve", "curve/lut",
		"decode/geometry", "decode/metadata", "decode/synth", "report", "report/archive", "report/csv", "report/handover",
		"report/html", "report/ledger", "report/schema", "report/text", "github.com/spf13/pflag",
		"golang.org/x/sync"},

	"cmd/retune": {"analyze/detect", "analyze/detect/pose"},
	"cmd/soak": {"cmd/internal/disturb", "cmd/internal/runlog", "curve", "decode/geometry", "decode/synth", "report",
		"report/ledger"},

	"cmd/internal/disturb":        {"cmd/internal/runlog", "report/ledger"},
	"decode/metadata/build":       {},
	"curve/ocio":                  {},
	"analyze/internal/aside":      {},
	"analyze/internal/testframes": {"curve", "decode", "decode/synth", "github.com/google/go-cmp"},
	"analyze/detect/pose":         {"analyze/detect", "analyze/robust", "curve", "decode", "decode/geometry"},
	"report/internal/reporttest": {"analyze/detect", "analyze/placement", "analyze/still", "curve", "report",
		"github.com/google/go-cmp"},
}

const gonum = "gonum.org/v1/gonum"

const (
	root   = "../../.."
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

// What the plan lets a package see of ours it sees: a line that is not needed any more goes.
func TestPlanHasNothingToSpare(t *testing.T) {
	all, _ := packages(t)
	for folder, allowed := range house {
		seen := map[string]bool{}
		for _, f := range all[folder] {
			for _, i := range f.Imports {
				seen[strings.TrimPrefix(strings.Trim(i.Path.Value, `"`), module)] = true
			}
		}
		for _, room := range allowed {
			if _, ours := house[room]; ours && !seen[room] {
				t.Errorf("%s does not import %s", folder, room)
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
		{"curve", "stopledger/curve/lut", false}, {"curve/lut", "stopledger/curve", true},
		{"decode", "C", true}, {"decode", "github.com/asticode/go-astiav", true}, {"decode", "stopledger/curve", false},
		{"decode/metadata", "encoding/xml", true}, {"decode/metadata", "golang.org/x/text", false},
		{"decode/metadata", "stopledger/decode", false},
		{"analyze", "C", false}, {"analyze", "stopledger/report", false}, {"analyze", "github.com/asticode/go-astiav", false},
		{"analyze", "stopledger/decode/synth", false}, {"analyze", "stopledger/analyze/advise", false},
		{"analyze/advise", "stopledger/decode", false}, {"analyze/noise", "stopledger/analyze", false},
		{"analyze/detect", "stopledger/analyze", false},
		{"report", "stopledger/decode", false}, {"report/html", "stopledger/decode", false},
		{"report/chart", "gonum.org/v1/plot/vg", true},
		{"cmd/stopledger", "github.com/asticode/go-astiav", false}, {"cmd/stopledger", "stopledger/decode", false},
		{"cmd/stopledger", "stopledger/analyze/advise", false},
	} {
		if got := mayImport(house[c.folder], c.path); got != c.want {
			t.Errorf("%s and %s: %v", c.folder, c.path, got)
		}
	}
}

// The top of the house holds these and nothing more; what begins with a dot, and what git leaves
// out, is not looked at.
func TestTopOfTheHouse(t *testing.T) {
	planned := []string{"cmd", "analyze", "decode", "curve", "report", "testdata",
		"go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE", "CHANGELOG.md"}
	ignored := strings.Fields(string(content(t, filepath.Join(root, ".gitignore"))))
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

func content(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
