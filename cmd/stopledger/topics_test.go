package main

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"stopledger/cmd/internal/manual"
	"stopledger/cmd/internal/rules"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/report"
	"stopledger/report/schema"
)

// A workedExample is a command in a topic's page with what it prints below it, further in; "..." stands
// for what is left out.
type workedExample struct{ command, prints string }

// workedExamples are those of a page, from its "Example" on.
func workedExamples(page string) (list []workedExample) {
	_, page, _ = strings.Cut(page, "\nExample:")
	for line := range strings.Lines(page) {
		switch {
		case strings.HasPrefix(line, "  stopledger "):
			list = append(list, workedExample{command: strings.TrimSpace(line)})
		case strings.HasPrefix(line, "    ") && len(list) > 0:
			list[len(list)-1].prints += line
		}
	}
	return list
}

// says tells whether text has the parts of an example's output, in order, however lines are folded.
func (e workedExample) says(text string) bool {
	text = strings.Join(strings.Fields(text), " ")
	for part := range strings.SplitSeq(e.prints, "...") {
		_, after, found := strings.Cut(text, strings.Join(strings.Fields(part), " "))
		if !found {
			return false
		}
		text = after
	}
	return true
}

// Every page of the guide has an example, whose commands print what it says they do.
func TestExamplesOfTheTopics(t *testing.T) {
	for _, topic := range manual.Topics() {
		t.Run(topic.Name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			build.WriteFile(t, "show.toml", []byte(rules.Example))
			examples := workedExamples(topic.Text)
			if len(examples) == 0 && topic.Name != "csv" {
				t.Error("the page has no example")
			}
			for _, e := range examples {
				code, stdout, stderr := call(t, fakeMeasure, argumentsOf(t, e.command)...)
				if code != exitMeasured || stderr != "" || !e.says(stdout) {
					t.Errorf("%s: exit code %d, stderr %s; it prints\n%s\nand the page says\n%s", e.command, code, stderr,
						stdout, e.prints)
				}
			}
		})
	}
}

func TestWorkedExamples(t *testing.T) {
	page := "  stopledger before\n\nExample: one.\n\n  stopledger a\n    one two\n    three ... five\n\n" +
		"So.\n\n  stopledger b\n"
	got := workedExamples(page)
	if len(got) != 2 || got[0].command != "stopledger a" || got[1].prints != "" {
		t.Fatalf("%q", got)
	}
	for text, want := range map[string]bool{
		"one  two three\nfour five": true, "five one two three": false, "one two": false,
	} {
		if got[0].says(text) != want {
			t.Errorf("%q: %t", text, !want)
		}
	}
}

// inTheDark is a card before a wall 4 stops darker.
func inTheDark(width, height int) synth.Scene {
	w, h := float64(width), float64(height)
	return synth.Scene{Name: "dark", Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18 / 16)},
		synth.NewCard(geometry.Upright(w/16, h/8, w/4, h/2), curve.MidGrey)}}
}

// What the guide quotes of a clip's page stands there.
func TestGuideQuotesThePage(t *testing.T) {
	out := filepath.Join(t.TempDir(), "day")
	clip := take{curve: "slog3", stops: 1, frames: 16, scene: inTheDark,
		change: func(c *synth.Camera) { c.Width, c.Height = 2*takeWidth, 2*takeHeight },
		how:    synth.Encoding{Codec: synth.ProRes422}}.file(t, "a.mov")
	auditedClip(t, "--curve", "slog3", "--region", "24,40,48,64", "--out", out, clip)
	pages, err := filepath.Glob(filepath.Join(out, "clips/*.html"))
	if err != nil || len(pages) != 1 {
		t.Fatal(pages, err)
	}
	page := string(build.ReadFile(t, pages[0]))
	_, guide, _ := program(t, "help", "page")
	quoted := regexp.MustCompile(`"([A-Z][^"]*)"`).FindAllStringSubmatch(guide, -1)
	if len(quoted) < 5 {
		t.Errorf("quoted: %q", quoted)
	}
	for _, q := range quoted {
		if !strings.Contains(page, ">"+q[1]+"<") {
			t.Errorf("a clip's page has no %q", q[1])
		}
	}
}

// The flags that the topics name are there.
func TestFlagsOfTheTopics(t *testing.T) {
	var flags strings.Builder
	for _, v := range commands() {
		_, help, _ := call(t, fakeMeasure, "help", v.name)
		flags.WriteString(help)
	}
	for _, topic := range manual.Topics() {
		for _, flag := range regexp.MustCompile(`--[a-z][a-z-]*`).FindAllString(topic.Text, -1) {
			if !strings.Contains(flags.String(), "  "+flag+" ") {
				t.Errorf("%s: there is no flag %s", topic.Name, flag)
			}
		}
	}
}

// Help lists every topic and prints its page, on lines that fit a terminal.
func TestTopicsInHelp(t *testing.T) {
	_, about, _ := call(t, fakeMeasure, "help")
	for _, topic := range topics() {
		if !strings.Contains(about, "  "+topic.Name+" ") || topic.Summary == "" {
			t.Errorf("help does not list %s", topic.Name)
		}
		_, text, _ := call(t, fakeMeasure, "help", topic.Name)
		if words := strings.Fields(text); topic.Text != "" && !slices.Equal(words, strings.Fields(topic.Page())) {
			t.Errorf("%s: %q", topic.Name, text)
		}
		for line := range strings.Lines(topic.Text) {
			if len([]rune(line)) > 104 {
				t.Errorf("%s: a line of %d: %s", topic.Name, len(line), line)
			}
		}
	}
	for _, ask := range [][]string{{"help", "exposin"}, {"help", "man", "exposin"}} {
		code, _, stderr := call(t, fakeMeasure, ask...)
		if code != exitUsage || !strings.Contains(stderr, "did you mean exposing?") {
			t.Errorf("%q: exit code %d: %s", ask, code, stderr)
		}
	}
}

// What has a page has one in the manual, in section 7, of macros of man(7).
func TestTopicsInTheManual(t *testing.T) {
	p := app{version: "1.0"}.asked(t.Context())
	own, _ := p.Page("")
	for _, topic := range manual.Topics() {
		page, ok := p.Page(topic.Name)
		if !ok || !strings.HasPrefix(page, ".TH STOPLEDGER\\-"+strings.ToUpper(topic.Name)+" 7 ") ||
			!strings.Contains(own, ".BR stopledger\\-"+topic.Name+" (7)") {
			t.Errorf("%s: page %.60q", topic.Name, page)
		}
		for line := range strings.Lines(page) {
			macro, _, _ := strings.Cut(strings.TrimSpace(line), " ")
			if strings.HasPrefix(line, ".") && !strings.Contains(macros, macro) {
				t.Errorf("%s: %s", topic.Name, line)
			}
		}
	}
}

// The history of the schemas has every one that documents are written by, and the first of an audit.
func TestHistoryOfSchemas(t *testing.T) {
	_, text, _ := call(t, fakeMeasure, "help", "json")
	_, history, _ := strings.Cut(text, "\nHistory\n")
	names := []string{report.Schema1}
	for _, verb := range schema.Verbs() {
		code, text, stderr := call(t, fakeMeasure, "help", "schema", verb)
		name := regexp.MustCompile(`"title": "(stopledger/.*)"`).FindStringSubmatch(text)
		if code != exitMeasured || len(name) != 2 {
			t.Fatalf("schema of %s: exit code %d, %s", verb, code, stderr)
		}
		names = append(names, name[1])
	}
	_, fields, _ := call(t, fakeMeasure, "help", "schema")
	for _, field := range regexp.MustCompile(`[a-z]+_[a-z_]+`).FindAllString(history, -1) {
		if !strings.Contains(fields, `"`+field+`"`) {
			t.Errorf("no document of an audit has %s", field)
		}
	}
	for _, name := range names {
		if !strings.Contains(history, "  "+name) && !strings.Contains(history, ", "+name) {
			t.Errorf("the history lacks %s:%s", name, history)
		}
	}
}
