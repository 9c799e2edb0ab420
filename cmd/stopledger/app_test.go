package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestArguments(t *testing.T) {
	inFolder(t, "a.mov", "b.mov", "bad.mov", "alarm.mov", "empty/", "file", "list.txt",
		"card/a.mov", "card/b.R3D", "card/c.r3d", "card/d.braw", "card/.hidden", "dump/a.mov", "dump/bad.mov", "dump/b.braw")
	if err := os.Symlink("../b.mov", "card/link.mov"); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		args   string
		code   int
		stderr string // contains
		stdout string // contains
	}{
		{"", exitUsage, "name a command: adjust, audit, compare", ""},
		{"--version", exitMeasured, "", "stopledger 0.0-test\n"},
		{"--help", exitMeasured, "", "Commands:"},
		{"help", exitMeasured, "", "Exit codes:"},
		{"help audit", exitMeasured, "", "--hold-grey"},
		{"help compare", exitMeasured, "", "stopledger compare [flags]"},
		{"help show", exitMeasured, "", "audit.json"},
		{"help merge", exitMeasured, "", "stopledger merge DIR... --out DIR"},
		{"help cluster", exitMeasured, "", "#SBATCH --requeue"},
		{"help csv", exitMeasured, "", "placement_stops"},
		{"help nothing", exitUsage, "no command nothing", ""},
		{"audti a.mov", exitUsage, "did you mean audit?", ""},
		{"--vresion", exitUsage, "no flag --vresion; did you mean --version?", ""},
		{"zzz", exitUsage, "no command zzz; see stopledger --help", ""},

		{"audit", exitUsage, "name a clip or a folder", ""},
		{"audit --help", exitMeasured, "", "Usage: stopledger audit"},
		{"audit a.mov", exitMeasured, "", "1 clip measured, none to check by eye."},
		{"audit a.mov bad.mov", exitSomeFailed, "not measured: bad.mov: the file is cut off; copy it again\n",
			"1 clip measured"},
		{"audit empty", exitSomeFailed, "no clip in this folder; name a clip", "No clip measured, 1 could not be measured."},
		{"audit card", exitMeasured, "", "1 clip measured, none to check by eye, 3 files not read (.r3d, .braw), 2 skipped."},
		{"audit --follow card", exitMeasured, "", "2 clips measured, none to check by eye, 3 files not read"},
		{"audit --format csv card", exitMeasured, "", "card/link.mov,skipped,a link; --follow follows it,"},
		{"audit --format json card", exitMeasured, "", `"kind": "not-read"`},
		{"audit dump", exitSomeFailed, "not measured: dump/bad.mov",
			"1 clip measured, 1 could not be measured, 1 file not read (.braw)."},
		{"audit alarm.mov", exitMeasured, "", "1 to check by eye (!)"},
		{"audit --gate alarm.mov", exitAlarm, "level alarm", ""},
		{"audit --gate a.mov", exitMeasured, "", ""},
		{"audit --gate alarm.mov bad.mov", exitAlarm, "not measured: bad.mov", ""},
		{"audit --gate a.mov bad.mov", exitSomeFailed, "", ""},
		{"audit --regoin 1,2,3,4 a.mov", exitUsage, "no flag --regoin; did you mean --region?", ""},
		{"audit --xyzzy a.mov", exitUsage, "no flag --xyzzy; see stopledger audit --help", ""},
		{"audit -q a.mov", exitUsage, "flags have two dashes", ""},
		{"audit a.mov --out", exitUsage, "flag needs an argument: --out", ""},
		{"audit --out file a.mov", exitUsage, "--out file is a file: name a folder", ""},

		{"audit --curve nolog a.mov", exitUsage, `no curve is called "nolog"`, ""},
		{"audit --curve nowhere/x.cube a.mov", exitUsage, "--curve: ", ""},
		{"audit --curve slog3 a.mov", exitMeasured, "", ""},
		{"audit --curve slog3 --assume vlog a.mov", exitUsage, "leave one out", ""},
		{"audit --assume nolog a.mov", exitUsage, "--assume: no curve", ""},
		{"audit --curve slog3 --ei 800 a.mov", exitUsage, "same at every exposure index", ""},
		{"audit --curve logc3 --ei 801 a.mov", exitUsage, "not published for exposure index 801", ""},
		{"audit --curve logc3 --ei 800 a.mov", exitMeasured, "", ""},
		{"audit --ei -1 a.mov", exitUsage, "--ei cannot be -1", ""},
		{"audit --ei x a.mov", exitUsage, `--ei cannot be "x": it takes a whole number`, ""},
		{"audit --range wide a.mov", exitUsage, `--range cannot be "wide": it takes auto, narrow, full`, ""},
		{"audit --range FULL a.mov", exitMeasured, "", ""},
		{"audit --matrix bt2100 a.mov", exitUsage, "it takes auto, bt601, bt709, bt2020", ""},
		{"audit --grey wall a.mov", exitUsage, "region, card, chart, face, scene", ""},
		{"audit --grey region a.mov", exitUsage, "--grey region needs --region X,Y,W,H", ""},
		{"audit --subject dog a.mov", exitUsage, "it takes auto, face", ""},
		{"audit --edition 1999 a.mov", exitUsage, "2005, 1976, 2014", ""},
		{"audit --format xml a.mov", exitUsage, "it takes text, json, csv", ""},

		{"audit --region 1,2,3 a.mov", exitUsage, `--region cannot be "1,2,3": it takes X,Y,W,H`, ""},
		{"audit --region 1,2,3,0 a.mov", exitUsage, "it takes X,Y,W,H", ""},
		{"audit --region 1,-2,3,4 a.mov", exitUsage, "it takes X,Y,W,H", ""},
		{"audit --region 1,2,3,99999999 a.mov", exitUsage, "it takes X,Y,W,H", ""},
		{"audit --region 1,2,3,4 a.mov", exitMeasured, "", ""},
		{"audit --region 1,2,3,4 --region 5,6,7,8 a.mov", exitUsage, "--reflectance twice too", ""},
		{"audit --region 1,2,3,4 --region 5,6,7,8 --reflectance 0.18,0.03 a.mov", exitMeasured, "", ""},
		{"audit --region 1,2,3,4 --reflectance 0.18,0.03 a.mov", exitUsage, "--reflectance was given 2 times for 1 regions",
			""},
		{"audit --region 1,2,3,4 --region 1,2,3,4 --region 1,2,3,4 a.mov", exitUsage, "two patches are the most", ""},
		{"audit --reflectance 1.01 a.mov", exitUsage, "--reflectance cannot be 1.01", ""},
		{"audit --reflectance 0 a.mov", exitUsage, "from 0.001 to 1", ""},
		{"audit --reflectance NaN a.mov", exitUsage, "--reflectance cannot be NaN", ""},
		{"audit --reflectance grey a.mov", exitUsage, "it takes numbers separated by commas", ""},

		{"audit --target 1.5 a.mov", exitMeasured, "", ""},
		{"audit --target -2 a.mov", exitMeasured, "", ""},
		{"audit --target scene a.mov", exitMeasured, "", ""},
		{"audit --target 12.5 a.mov", exitUsage, "from -12 to 12, or scene", ""},
		{"audit --target nan a.mov", exitUsage, "--target cannot be", ""},
		{"audit --intended 1.5 a.mov", exitMeasured, "", ""},
		{"audit --intended over a.mov", exitUsage, `--intended cannot be "over": it takes stops over nominal`, ""},
		{"audit --intended -13 a.mov", exitUsage, "from -12 to 12", ""},
		{"audit --rules none.toml a.mov", exitUsage, "--rules: none.toml cannot be read: no such file", ""},
		{"audit --rules list.txt a.mov", exitUsage, "--rules: list.txt:1: ", ""},
		{"help rules", exitMeasured, "", "most_clipped = 0.02"},
		{"audit --lift 1,2 a.mov", exitMeasured, "", ""},
		{"audit --lift 1,2,3,4,5,6,7 a.mov", exitUsage, "6 are the most", ""},
		{"audit --lift Inf a.mov", exitUsage, "--lift cannot be", ""},
		{"audit --jobs 0 a.mov", exitUsage, "from 1 to 256", ""},

		{"compare a.mov", exitUsage, "two different clips or more", ""},
		{"compare a.mov ./a.mov", exitUsage, "two different clips or more", ""},
		{"compare", exitUsage, "name two clips or more", ""},
		{"compare a.mov b.mov", exitMeasured, "", "No take is better"},
		{"compare a.mov bad.mov", exitSomeFailed, "bad.mov", "no two takes to compare"},
		{"compare --gate a.mov alarm.mov", exitAlarm, "", ""},

		{"show", exitUsage, "name one folder", ""},
		{"show empty", exitBroken, "audit --out wrote", ""},
	} {
		code, stdout, stderr := call(t, fakeMeasure, strings.Fields(test.args)...)
		if code != test.code {
			t.Errorf("%q: exit code %d, want %d; stderr: %s", test.args, code, test.code, stderr)
		}
		if !strings.Contains(stderr, test.stderr) {
			t.Errorf("%q: stderr %q does not say %q", test.args, stderr, test.stderr)
		}
		if !strings.Contains(stdout, test.stdout) {
			t.Errorf("%q: stdout %q does not say %q", test.args, stdout, test.stdout)
		}
		if code == exitUsage && (stdout != "" || strings.Count(stderr, "\n") != 1) {
			t.Errorf("%q: a mistake takes one line of stderr; got stdout %q, stderr %q", test.args, stdout, stderr)
		}
	}
}

// root is the top of the project.
const root = "../.."

func TestHelp(t *testing.T) {
	_, audit, _ := call(t, fakeMeasure, "audit", "--help")
	_, compare, _ := call(t, fakeMeasure, "compare", "--help")
	_, about, _ := call(t, fakeMeasure, "--help")
	golden(t, "help.txt", about+"\n---\n"+audit+"\n---\n"+compare)
	for _, line := range strings.Split(about+audit+compare, "\n") {
		if len(line) > 100 {
			t.Errorf("help line of %d columns: %s", len(line), line)
		}
	}
}

// A failing takes so many bytes and then no more.
type failing struct{ left int }

var errFull = errors.New("no space left")

func (f *failing) Write(b []byte) (int, error) {
	if f.left -= len(b); f.left < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func TestOutputThatFails(t *testing.T) {
	inFolder(t, "a.mov", "b.mov")
	for _, args := range [][]string{
		{"audit", "a.mov", "b.mov"},
		{"audit", "--format", "json", "a.mov"},
		{"audit", "--format", "csv", "a.mov"},
		{"compare", "a.mov", "b.mov"},
		{"compare", "--format", "json", "a.mov", "b.mov"},
		{"--help"}, {"audit", "--help"}, {"--version"}, {"help", "csv"},
	} {
		for _, left := range []int{0, 5} {
			var stderr bytes.Buffer
			a := app{measure: fakeMeasure, stdout: &failing{left}, stderr: &stderr}
			if code := a.run(t.Context(), args); code != exitBroken {
				t.Errorf("%q with room for %d bytes: exit code %d, want %d", args, left, code, exitBroken)
			}
			if !strings.Contains(stderr.String(), errFull.Error()) {
				t.Errorf("%q: stderr %q does not tell why", args, stderr.String())
			}
		}
	}
}

func TestFolderOfTheReport(t *testing.T) {
	inFolder(t, "a.mov", "bad.mov", "day/foreign.txt")
	code, _, stderr := call(t, fakeMeasure, "audit", "--out", "day", "a.mov", "bad.mov")
	if code != exitSomeFailed {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	for name, holds := range map[string]string{
		"audit.json": `"schema": "stopledger/audit/2"`, "audit.csv": "placement_stops",
		"audit.txt":   "Grey card 1.65 stops over",
		"foreign.txt": "not empty", "index.html": "a.mov",
	} {
		if data, err := os.ReadFile(filepath.Join("day", name)); err != nil || !strings.Contains(string(data), holds) {
			t.Errorf("%s: %v, holds %q", name, err, data)
		}
	}
	if left, _ := filepath.Glob("day/.*"); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if code, _, stderr := call(t, fakeMeasure, "show", "day"); code != exitMeasured {
		t.Errorf("show: exit code %d: %s", code, stderr)
	}
	if code, _, stderr := call(t, fakeMeasure, "compare", "--out", "new/deep", "a.mov", "day/../a.mov",
		"day/foreign.txt"); code != exitMeasured {
		t.Errorf("compare: exit code %d: %s", code, stderr)
	}
	for _, name := range []string{"audit.json", "compare.json", "compare.csv", "compare.txt", "compare.html",
		"index.html"} {
		if _, err := os.Stat(filepath.Join("new/deep", name)); err != nil {
			t.Error(err)
		}
	}
}

// A report is written over one of the same verb, and over nothing else.
func TestFolderThatHoldsSomethingElse(t *testing.T) {
	inFolder(t, "a.mov", "b.mov", "site/index.html", "other/audit.json", "notes/compare.json", "page/compare.html")
	for _, step := range []struct {
		args string
		code int
		says string
	}{
		{"audit --out day a.mov", exitMeasured, ""},
		{"audit --out day a.mov b.mov", exitMeasured, ""},
		{"compare --out day a.mov b.mov", exitUsage, "--out day holds an audit"},
		{"compare --out takes a.mov b.mov", exitMeasured, ""},
		{"compare --out takes b.mov a.mov", exitMeasured, ""},
		{"audit --out takes a.mov", exitUsage, "--out takes holds a comparison"},
		{"audit --out site a.mov", exitUsage, "holds index.html, which stopledger did not write"},
		{"audit --out other a.mov", exitUsage, "holds audit.json, which stopledger did not write"},
		{"compare --out notes a.mov b.mov", exitUsage, "holds compare.json, which stopledger did not write"},
		{"compare --out page a.mov b.mov", exitUsage, "holds compare.html, which stopledger did not write"},
	} {
		if code, _, stderr := call(t, fakeMeasure, strings.Fields(step.args)...); code != step.code ||
			!strings.Contains(stderr, step.says) {
			t.Errorf("%s: exit code %d: %s", step.args, code, stderr)
		}
	}
	for path, holds := range map[string]string{
		"day/index.html": "2 clips", "takes/index.html": "compare.html", "site/index.html": "not empty",
		"other/audit.json": "not empty",
	} {
		if page, err := os.ReadFile(path); err != nil || !strings.Contains(string(page), holds) {
			t.Errorf("%s: %v, holds %.80q", path, err, page)
		}
	}
	if _, err := os.Stat("day/compare.html"); err == nil {
		t.Error("the audit's folder has a comparison")
	}
	if code, _, stderr := call(t, fakeMeasure, "audit", "--out", "", "a.mov"); code != exitUsage ||
		!strings.Contains(stderr, "--out names no folder") {
		t.Errorf("without a name: exit code %d: %s", code, stderr)
	}
	if code, _, stderr := call(t, fakeMeasure, "audit", "a.mov", ""); code != exitUsage ||
		!strings.Contains(stderr, "one of the names is empty") {
		t.Errorf("a clip without a name: exit code %d: %s", code, stderr)
	}
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("root may write everywhere")
	}
	inFolder(t, "a.mov", "locked/")
	if err := os.Chmod("locked", 0o500); err != nil {
		t.Fatal(err)
	}
	code, _, stderr := call(t, fakeMeasure, "audit", "--out", "locked", "a.mov")
	if code != exitUsage || !strings.Contains(stderr, "locked") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}
