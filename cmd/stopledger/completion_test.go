package main

import (
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// Bash itself completes with the script: commands, flags of a command, words, and nothing where a value
// is not a file.
func TestBashCompletes(t *testing.T) {
	code, script, stderr := program(t, "completion", "bash")
	if code != exitMeasured || stderr != "" {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	for line, want := range map[string]string{
		"stopledger com":                   "compare completion",
		"stopledger audit --cu":            "--curve",
		"stopledger compare --every":       "--every-frame",
		"stopledger curves slog":           "slog2 slog3",
		"stopledger audit --format ":       "",
		"stopledger help cl":               "cluster",
		"stopledger completion ":           "bash zsh fish",
		"stopledger audit clip.mov --hold": "--hold-grey",
	} {
		words := strings.Split(line, " ")
		ask := script + "\nCOMP_WORDS=(" + quotedWords(words) + ")\nCOMP_CWORD=" + strconv.Itoa(len(words)-1) +
			"\n_stopledger\necho \"${COMPREPLY[*]}\"\n"
		out, err := exec.Command("bash", "-c", ask).CombinedOutput()
		if got := strings.TrimSpace(string(out)); err != nil || got != want {
			t.Errorf("%q: %q, %v, want %q", line, got, err, want)
		}
	}
}

func quotedWords(words []string) string { return "'" + strings.Join(words, "' '") + "'" }

func TestCompletionMistakes(t *testing.T) {
	for args, says := range map[string]string{"": "name one shell", "csh": "bash, zsh, fish", "bash zsh": "one shell"} {
		code, _, stderr := program(t, append([]string{"completion"}, strings.Fields(args)...)...)
		if code != exitUsage || !strings.Contains(stderr, says) {
			t.Errorf("completion %s: exit code %d: %s", args, code, stderr)
		}
	}
}

// macros are those of man(7) that pages use.
const macros = ".TH .SH .SS .TP .B .BR .I .PP .nf .fi"

// Every command and flag stands in each shell's script and in the manual pages, which name only macros of
// man(7).
func TestManualIsWhole(t *testing.T) {
	p := app{version: "1.0"}.asked(t.Context())
	if len(p.Commands) != len(commands()) {
		t.Fatalf("%d of %d commands", len(p.Commands), len(commands()))
	}
	own, _ := p.Page("")
	for _, c := range p.Commands {
		if c.Usage == "" {
			t.Errorf("%s has no help", c.Name)
		}
		page, ok := p.Page(c.Name)
		if !ok || !strings.Contains(own, strings.ReplaceAll(c.Name, "-", `\-`)+" (1)") {
			t.Errorf("%s has no page, or is not in the program's", c.Name)
		}
		for line := range strings.Lines(page) {
			macro, _, _ := strings.Cut(strings.TrimSpace(line), " ")
			if strings.HasPrefix(line, ".") && !strings.Contains(macros, macro) {
				t.Errorf("%s: %s", c.Name, line)
			}
		}
		for _, f := range strings.Fields(flagNames(c.Flags)) {
			if !strings.Contains(page, strings.ReplaceAll("--"+f, "-", `\-`)) {
				t.Errorf("the page of %s lacks --%s", c.Name, f)
			}
			for _, shell := range []string{"bash", "zsh", "fish"} {
				if script, _ := p.Completion(shell); !strings.Contains(script, f) {
					t.Errorf("%s: %s lacks --%s", shell, c.Name, f)
				}
			}
		}
	}
}

func flagNames(fs *pflag.FlagSet) string {
	var names []string
	fs.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	return strings.Join(names, " ")
}
