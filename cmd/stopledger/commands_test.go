package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
)

// commandsIn returns the program's command lines in a text of help or of the README, where they
// stand on lines of their own, indented or in fences.
func commandsIn(text string) []string {
	var lines []string
	for _, l := range regexp.MustCompile(`(?m)^(?:  )?(stopledger [^#\n]*)`).FindAllStringSubmatch(text, -1) {
		lines = append(lines, strings.TrimSpace(l[1]))
	}
	return lines
}

// fences returns what stands in fenced blocks of a page of Markdown.
func fences(markdown string) string {
	var inside []string
	for i, part := range strings.Split("\n"+markdown, "\n```") {
		if i%2 == 1 {
			inside = append(inside, part)
		}
	}
	return strings.Join(inside, "\n")
}

// argumentsOf splits a command as a shell would that knows only blanks, * and >, below the working
// folder. Clips and folders that the command names are put there.
func argumentsOf(t *testing.T, command string) []string {
	t.Helper()
	command, _, _ = strings.Cut(command, " > ")
	var args []string
	for _, word := range strings.Fields(command)[1:] {
		switch {
		case strings.HasSuffix(word, ".mov"):
			standIn(t, regexp.MustCompile(`^[0-9]+=`).ReplaceAllString(strings.ReplaceAll(word, "*", "A001"), ""))
		case strings.HasSuffix(word, ".cube"):
			build.WriteFile(t, word, []byte("LUT_1D_SIZE 2\n0 0 0\n1 1 1\n"))
		case strings.HasPrefix(word, "/"):
			word = word[1:]
			standIn(t, filepath.Join(word, "A001_C001.mov"))
		}
		if matches, err := filepath.Glob(word); err == nil && len(matches) > 0 {
			args = append(args, matches...)
		} else {
			args = append(args, word)
		}
	}
	return args
}

func standIn(t *testing.T, path string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	build.WriteFile(t, path, []byte("a clip"))
}

// runCommands runs commands in order, in one folder. The demo, which records clips, and a watch, which
// goes on, are only asked for their help.
func runCommands(t *testing.T, commands []string) {
	t.Helper()
	for _, c := range commands {
		args := argumentsOf(t, c)
		if args[0] == "demo" || args[0] == "watch" {
			args = append(args, "--help")
		}
		code, stdout, stderr := call(t, fakeMeasure, args...)
		if code != exitMeasured || stderr != "" || stdout == "" && args[0] != "show" {
			t.Errorf("%s: exit code %d, stderr %s", c, code, stderr)
		}
	}
}

// The examples of the help do what they are said to.
func TestExamplesOfTheHelp(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, v := range commands() {
		_, help, _ := call(t, fakeMeasure, "help", v.name)
		_, examples, _ := strings.Cut(help, "\nExample")
		lines := commandsIn(examples)
		if len(lines) == 0 {
			t.Errorf("the help of %s has no example", v.name)
		}
		runCommands(t, lines)
	}
}

// What the README says of the program holds: its commands run, its flags are there, its verdict is
// worded as the program words it.
func TestReadme(t *testing.T) {
	text := string(build.ReadFile(t, filepath.Join(root, "README.md")))
	notes := string(build.ReadFile(t, filepath.Join(root, "DEVELOPERS.md")))
	t.Chdir(t.TempDir())
	examples := commandsIn(fences(text))
	if len(examples) < 3 {
		t.Errorf("commands %q", examples)
	}
	runCommands(t, examples)

	var flags bytes.Buffer
	for _, v := range commands() {
		_, help, _ := call(t, fakeMeasure, "help", v.name)
		flags.WriteString(help)
	}
	for _, flag := range regexp.MustCompile(`--[a-z][a-z-]*`).FindAllString(text+notes, -1) {
		if !strings.Contains(flags.String(), "  "+flag+" ") {
			t.Errorf("there is no flag %s", flag)
		}
	}

	verdict := regexp.MustCompile(`(?m)^> (.*)$`).FindAllStringSubmatch(text, -1)
	var words []string
	for _, line := range verdict {
		words = append(words, line[1])
	}
	inFolder(t, "a.mov")
	_, stdout, _ := call(t, fakeMeasure, "audit", "a.mov")
	said := strings.Join(strings.Fields(stdout), " ")
	if len(words) == 0 || !strings.Contains(said, strings.Join(words, " ")) {
		t.Errorf("the README's verdict is %q, the program's %s", words, stdout)
	}
}

func TestCommandsIn(t *testing.T) {
	text := "say\n```\nstopledger audit a.mov   # one\ngo build\n```\nstopledger outside\n```\n  stopledger curves\n```\n"
	got := commandsIn(fences(text))
	if len(got) != 2 || got[0] != "stopledger audit a.mov" || got[1] != "stopledger curves" {
		t.Errorf("%q", got)
	}
}
