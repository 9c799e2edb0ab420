package config

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/adrg/xdg"
)

func write(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "config.toml")
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestRead(t *testing.T) {
	for text, want := range map[string][]Default{
		"":                             nil,
		"assume = 'slog3'":             {{"assume", "slog3"}},
		"target = 0.5\nei = 800":       {{"ei", "800"}, {"target", "0.5"}},
		"target = 'scene'":             {{"target", "scene"}},
		"target = -1":                  {{"target", "-1"}},
		"assume = 'own.cube'":          {{"assume", "DIR/own.cube"}},
		"assume = '/curves/own.cube'":  {{"assume", "/curves/own.cube"}},
		"display = 'show/look.cube'":   {{"display", "DIR/show/look.cube"}},
		"profile = 'a7.json'\nei = 80": {{"ei", "80"}, {"profile", "DIR/a7.json"}},
	} {
		path := write(t, text)
		c, err := Read(path)
		for i := range want {
			want[i].Text = strings.Replace(want[i].Text, "DIR", filepath.Dir(path), 1)
		}
		if err != nil || !c.Found || c.Path != path || !slices.Equal(c.Defaults, want) {
			t.Errorf("%q: %+v, %v", text, c, err)
		}
	}
	for _, path := range []string{"", filepath.Join(t.TempDir(), "none.toml")} {
		if c, err := Read(path); err != nil || c.Found || len(c.Defaults) > 0 {
			t.Errorf("%q: %+v, %v", path, c, err)
		}
	}
}

func TestMistakes(t *testing.T) {
	for text, says := range map[string]string{
		"\nasume = 'slog3'":          `config.toml:2: there is no key "asume"; did you mean assume?`,
		"\n\ntarget = [1]":           "config.toml:3: target cannot be [1]: it takes a text or a number",
		"assume = ''":                "config.toml:1: assume is empty: leave it out",
		"target = true":              "it takes a text or a number",
		"target = 1\n[more]\nei = 1": "config.toml:2: ",
		"target = ":                  "config.toml:1: ",
	} {
		if c, err := Read(write(t, text)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %+v, %v", text, c, err)
		}
	}
	if _, err := Read(t.TempDir()); err == nil || !strings.Contains(err.Error(), "cannot be read") {
		t.Errorf("a folder: %v", err)
	}
}

// The file lies where the XDG Base Directory Specification has it.
func TestPath(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", "/somewhere")
	xdg.Reload()
	defer xdg.Reload()
	if got := Path(); got != filepath.FromSlash("/somewhere/stopledger/config.toml") {
		t.Error(got)
	}
}

// FuzzRead: defaults or an error that names the file, never a panic.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{"assume = 'slog3'", "ei = 1e400", "target = nan", "target = 1979-05-27",
		"display = {a=1}"} {
		f.Add(seed)
	}
	path := filepath.Join(f.TempDir(), "config.toml")
	f.Fuzz(func(t *testing.T, text string) {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		c, err := Read(path)
		if err != nil && !strings.Contains(err.Error(), "config.toml") {
			t.Errorf("%q: %v", text, err)
		}
		for _, d := range c.Defaults {
			if err == nil && d.Text == "" {
				t.Errorf("%q: %+v", text, d)
			}
		}
	})
}
