package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/adrg/xdg"
	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/report"
)

// Tests do not go by the defaults of whoever runs them.
func init() {
	os.Setenv("XDG_CONFIG_HOME", filepath.Join(os.TempDir(), "stopledger-tests-have-no-defaults"))
	xdg.Reload()
}

// withDefaults runs the program, on the real instruments, with a file of defaults.
func withDefaults(t *testing.T, defaults string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	build.WriteFile(t, "config.toml", []byte(defaults))
	var o, e bytes.Buffer
	a := app{measure: audit.Measure, version: "0.0-test", config: "config.toml", stdout: &o, stderr: &e}
	code = a.run(t.Context(), args)
	return code, o.String(), e.String()
}

// The user's own curve is taken for clips that name none, below all that flags and clips say.
func TestDefaultCurve(t *testing.T) {
	t.Chdir(t.TempDir())
	silent := take{curve: "S-Log3", stops: 1, how: synth.Encoding{Codec: synth.ProRes422}}
	silent.record(t, "silent.mov")
	silent.record(t, "named.mov")
	build.AddMeta("s-log3")(t, "named.mov")
	for _, c := range []struct {
		defaults string
		flags    string
		curve    string
		origin   metadata.Origin
		assumed  bool
	}{
		{"assume = 'slog3'", "silent.mov", "S-Log3", metadata.OriginConfig, true},
		{"assume = 'vlog'", "silent.mov", "V-Log", metadata.OriginConfig, true},
		{"assume = 'vlog'", "named.mov", "S-Log3", metadata.OriginClipXML, false},
		{"assume = 'vlog'", "--assume slog3 silent.mov", "S-Log3", metadata.OriginAssumed, true},
		{"assume = 'vlog'", "--curve slog3 silent.mov", "S-Log3", metadata.OriginFlag, false},
		{"assume = 'vlog'", "--curve auto silent.mov", "V-Log", metadata.OriginConfig, true},
		{"assume = 'logc3'\nei = 1600", "silent.mov", "LogC3 EI1600", metadata.OriginConfig, true},
		{"assume = 'logc3'\nei = 1600", "--ei 400 silent.mov", "LogC3 EI400", metadata.OriginConfig, true},
		{"ei = 1600", "--curve slog3 silent.mov", "S-Log3", metadata.OriginFlag, false},
	} {
		args := append([]string{"audit", "--format", "json", "--region", takeCard}, strings.Fields(c.flags)...)
		code, stdout, stderr := withDefaults(t, c.defaults, args...)
		doc, err := report.ReadJSON(strings.NewReader(stdout))
		if err != nil || code != exitMeasured {
			t.Fatalf("%+v: exit code %d, %v: %s", c, code, err, stderr)
		}
		if got := doc.Clips[0].Curve; got.Name != c.curve || got.Origin != c.origin || got.Assumed != c.assumed {
			t.Errorf("%+v: %+v", c, got)
		}
		if doc.Settings.Config != "config.toml" {
			t.Errorf("%+v: the document does not name the file: %+v", c, doc.Settings)
		}
		if given := strings.Contains(c.flags, "--assume"); (doc.Settings.AssumedBy == metadata.OriginConfig) ==
			(given || c.origin == metadata.OriginFlag) {
			t.Errorf("%+v: %+v", c, doc.Settings.ReadAs)
		}
	}
}

// Flags go before defaults, and a show's rules too.
func TestDefaultTarget(t *testing.T) {
	t.Chdir(t.TempDir())
	take{curve: "S-Log3", stops: 1}.record(t, "a.mov")
	for args, want := range map[string]float64{
		"": -0.5, "--target 0": -1, "--rules show.toml": -2, "--rules show.toml --target 0.25": -0.75,
	} {
		build.WriteFile(t, "show.toml", []byte("target = -1"))
		all := append([]string{"audit", "--format", "json", "--curve", "slog3", "--region", takeCard, "a.mov"},
			strings.Fields(args)...)
		_, stdout, stderr := withDefaults(t, "target = 0.5", all...)
		doc, err := report.ReadJSON(strings.NewReader(stdout))
		if err != nil {
			t.Fatal(err, stderr)
		}
		if got := float64(doc.Clips[0].Advice.Offset); got < want-0.1 || got > want+0.1 {
			t.Errorf("%q: offset %v, want %v", args, got, want)
		}
	}
}

// A mistake in the defaults is told with its line by every verb that measures, and by version.
func TestBrokenDefaults(t *testing.T) {
	inFolder(t, "a.mov", "b.mov")
	for defaults, says := range map[string]string{
		"\nasume = 'slog3'":                  `config.toml:2: there is no key "asume"; did you mean assume?`,
		"\n\nassume = 'slog33'":              `config.toml:3: assume: no curve is called "slog33"`,
		"target = 13":                        `config.toml:1: target cannot be "13": it takes stops`,
		"ei = 'fast'":                        "config.toml:1: ei cannot be fast: it takes a whole number",
		"ei = 800\nprofile = 'camera.json'":  "config.toml:2: ",
		"target = = 1":                       "config.toml:1: ",
		"assume = 'slog3'\nassume = 'slog3'": "config.toml:2: ",
	} {
		for _, args := range [][]string{{"audit", "a.mov"}, {"compare", "a.mov", "b.mov"}, {"version", "--verbose"}} {
			if strings.Contains(defaults, "profile") && flagExists("profile") {
				continue
			}
			code, stdout, stderr := withDefaults(t, defaults, args...)
			if code != exitUsage || stdout != "" || !strings.Contains(stderr, says) || strings.Count(stderr, "\n") != 1 {
				t.Errorf("%q, %q: exit code %d: %s%s", defaults, args, code, stdout, stderr)
			}
		}
	}
}

func flagExists(name string) bool {
	fs := pflag.NewFlagSet("audit", pflag.ContinueOnError)
	new(measureFlags).add(fs)
	return fs.Lookup(name) != nil
}

func TestVersion(t *testing.T) {
	inFolder(t)
	count := strconv.Itoa(len(curve.All()))
	for _, c := range []struct {
		defaults, args string
		says           []string
	}{
		{"", "version", []string{"stopledger 0.0-test\n", "ffmpeg    libavformat ", "curves    " + count + ", edition 20"}},
		{"target = 99", "version", []string{"stopledger 0.0-test\n"}},
		{"target = 0.5\nassume = 'slog3'", "version --verbose", []string{"stopledger 0.0-test\n", "libavcodec ",
			"edition 20", "config.toml: assume = slog3, target = 0.5\n", "built     go"}},
		{"", "--version --verbose", []string{"config.toml\n"}},
	} {
		code, stdout, stderr := withDefaults(t, c.defaults, strings.Fields(c.args)...)
		for _, says := range c.says {
			if code != exitMeasured || !strings.Contains(stdout, says) {
				t.Errorf("%+v: exit code %d: %s%s", c, code, stdout, stderr)
			}
		}
	}
	if _, stdout, _ := call(t, fakeMeasure, "version", "--verbose"); !strings.Contains(stdout, "defaults  none") {
		t.Error(stdout)
	}
}
