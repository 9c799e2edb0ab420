package rules

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"stopledger/analyze/rule"
	"stopledger/curve"
)

func parsed(t *testing.T, text string) *rule.Set {
	t.Helper()
	set, err := Parse("show.toml", []byte(text))
	if err != nil {
		t.Fatalf("%s\n%v", text, err)
	}
	return set
}

// The example has every key, and reads as it says.
func TestExample(t *testing.T) {
	set := parsed(t, Example)
	if len(set.Sections) != 2 || set.Sections[0].Name != "Night Ferry" || set.Sections[1].Name != "day2/night*" {
		t.Fatalf("%+v", set)
	}
	night, day := set.For("/film/day2/night-a/clips"), set.For("/film/day2")
	if *day.Intended() != 1.5 || *night.Intended() != 0.5 || *night.Tolerance() != 0.5 || *day.Target() != 0 {
		t.Errorf("day %+v, night %+v", day, night)
	}
	for id, want := range map[string]rule.Level{"rule-shutter": rule.Caution, "shadows-thin": rule.Caution} {
		if got, _ := night.LevelOf(id); got != want {
			t.Errorf("%s: %s", id, got)
		}
	}
	all := reflect.ValueOf(set.Sections[0])
	for i := range all.NumField() {
		if name := all.Type().Field(i).Name; name != "Folder" && all.Field(i).IsZero() {
			t.Errorf("the example has no %s", name)
		}
	}
	for _, line := range strings.Split(Example, "\n") {
		if len(line) > 100 {
			t.Errorf("%d columns: %s", len(line), line)
		}
	}
}

// Every mistake is told with its line, and with what is allowed or meant.
func TestMistakes(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"", "show.toml asks nothing"},
		{"name = 'x'\n", "asks nothing"},
		{"# only\n[folder.day2]\n", "asks nothing"},
		{"intended = 1.5\ntolerence = 1\n", `show.toml:2: there is no key "tolerence"; did you mean tolerance?`},
		{"zzzzzz = 1\n", `show.toml:1: there is no key "zzzzzz"; there are name, intended, `},
		{"\n\n[folder.a]\nintendde = 1\n", `show.toml:4: there is no key "folder.a.intendde"; did you mean intended?`},
		{"[folders.a]\nintended = 1\n", `show.toml:1: there is no key "folders`},
		{"intended = 'much'\n", "show.toml:1: "},
		{"\nintended = 13\n", "show.toml:2: intended cannot be 13: it takes stops over nominal from -12 to 12"},
		{"intended = nan\n", "show.toml:1: intended cannot be NaN"},
		{"intended = 1\nintended = 2\n", "show.toml:2: "},
		{"intended = 1\n\n\ntarget = = 2\n", "show.toml:4: "},
		{"intended = 1\n[folder.a]\ntarget = 1\n[folder.b]\ntarget = 44\n", "show.toml:5: target cannot be 44"},
		{"tolerance = 0\n", "show.toml:1: tolerance cannot be 0: it takes stops from 0.01 to 12"},
		{"tolerance = -1\n", "show.toml:1: tolerance cannot be -1"},
		{"most_clipped = 2\n", "it takes a share of the frame from 0 to 1"},
		{"curve = 'S-Log3'\n", "show.toml:1: "},
		{"curve = ['S-Log3',\n 'nolog']\n", `show.toml:1: no curve is called "nolog": nearest are `},
		{"curve = []\n", "show.toml:1: curve lists nothing"},
		{"iso = []\n", "iso lists nothing"},
		{"shutter = []\n", "shutter lists nothing"},
		{"iso = [800, 0]\n", "iso cannot be 0"},
		{"iso = ['fast']\n", "show.toml:1: "},
		{"\n\nshutter = ['1/50', 'fast']\n", `show.toml:3: "fast" is no shutter: write a time such as 1/50`},
		{"least_snr = 20\n", "show.toml:1: "},
		{"least_snr = { tone = -4 }\n", "show.toml:1: least_snr takes a tone and dB"},
		{"least_snr = { tone = -4, db = 1000 }\n", "least_snr cannot be 1000 dB at -4 stops"},
		{"least_snr = { tone = -4, dbs = 20 }\n", `show.toml:1: there is no key "dbs"; did you mean db?`},
		{"name = 'x'\nIntended = 14\n", "show.toml:2: intended cannot be 14"},
		{"\n[levels]\ndrifft = 'alarm'\n", `show.toml:3: no finding is called "drifft"; did you mean drift?`},
		{"\n[levels]\ndrift = 'bad'\n", `show.toml:3: the level of drift cannot be "bad": it takes note, caution or alarm`},
		{"intended = 1\n[folder.a]\nlevels = { drift = 'bad' }\n", `show.toml:3: the level of drift`},
		{"intended = 1\n\n[folder.'day[2']\ntarget = 1\n", `show.toml:3: folder "day[2" is no pattern`},
		{"intended = 1\n[folder.'..']\ntarget = 1\n", `show.toml:2: folder ".." names no folder`},
		{"intended = 1\n[folder.'']\ntarget = 1\n", `show.toml:2: folder "" names no folder`},
	} {
		set, err := Parse("show.toml", []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v, %v; want %q", c.text, set, err, c.says)
		}
	}
}

// Folders keep the order of the file, however they are written.
func TestOrderOfFolders(t *testing.T) {
	set := parsed(t, "\xef\xbb\xbfintended = 1\n[folder.'b/']\ntarget = 2\n[folder.a]\ntarget = 1\n"+
		"levels.drift = 'note'\n"+
		"[folder.'./c']\nname = 'late'\ntarget = 3\n")
	var names []string
	for _, s := range set.Sections {
		names = append(names, s.Name+"="+s.Folder)
	}
	if got := strings.Join(names, " "); got != "show= b/=b a=a late=c" {
		t.Error(got)
	}
	if level, by := set.For("/a").LevelOf("drift"); level != rule.Note || by != "a" {
		t.Errorf("%s by %s", level, by)
	}
}

func TestLoad(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "show.toml")
	if err := os.WriteFile(path, []byte(Example), 0o644); err != nil {
		t.Fatal(err)
	}
	if set, err := Load(path); err != nil || set.File != path {
		t.Errorf("%v, %v", set, err)
	}
	if err := os.WriteFile(path, make([]byte, 2<<20), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, says := range map[string]string{
		path: "larger than a megabyte", dir: "cannot be read", filepath.Join(dir, "none.toml"): "cannot be read",
	} {
		if _, err := Load(name); err == nil || !strings.Contains(err.Error(), says) ||
			strings.Count(err.Error(), name) != 1 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// FuzzParse: rules or an error that begins with the file, never a panic; what was read
// can be written and judged by.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{Example, "iso = [1]", "[folder.a.levels]\ndrift='note'", "folder = 1", "[[folder]]\na=1",
		"levels = []", "curve = [[]]", "a.b.c = { d = [ { e = 1 } ] }", "name = \"\x00\"", "[folder.'a*']\niso=[1e300]"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		set, err := Parse("show.toml", []byte(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "show.toml") {
				t.Errorf("%q: %v", text, err)
			}
			return
		}
		if _, err := json.Marshal(set); err != nil {
			t.Error(err)
		}
		snr := func(curve.Stops) rule.Figure { return rule.Figure{} }
		for _, found := range set.For("/a/b").Judge(rule.Clip{SNR: snr}) {
			if found.Text == "" || found.Level.Rank() == 0 {
				t.Errorf("%+v", found)
			}
		}
	})
}
