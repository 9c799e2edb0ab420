package report

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"testing"
)

func textOf(t *testing.T, doc Document, layout Layout) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteText(&b, doc, layout); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestText(t *testing.T) {
	var all strings.Builder
	for _, width := range []int{0, 120, 80, 50} {
		fmt.Fprintf(&all, "=== width %d\n%s", width, textOf(t, day(), Layout{Width: width}))
	}
	golden(t, "audit.txt", all.String())
}

// However narrow the terminal, no line of figures or sentence is wider, but for single words.
func TestTextFits(t *testing.T) {
	const longestWord = 38 // "measured:" after an escaped file name of the invented day
	for width := 1; width <= 200; width++ {
		for _, line := range strings.Split(textOf(t, day(), Layout{Width: width}), "\n") {
			if cells(line) > max(width, longestWord) {
				t.Fatalf("width %d: %d columns: %s", width, cells(line), line)
			}
		}
	}
}

// Columns stand under each other: each figure ends where its head ends.
func TestTextAligns(t *testing.T) {
	for _, width := range []int{0, 120, 100} {
		lines := strings.Split(textOf(t, day(), Layout{Width: width}), "\n")
		heads := lines[0]
		at := strings.Index(heads, "clipped") + len("clipped")
		for _, line := range lines[1:] {
			if !strings.Contains(line, ".mov ") || strings.HasPrefix(line, " ") && strings.HasPrefix(strings.TrimSpace(line), "not") {
				continue
			}
			if strings.HasPrefix(line, "    ") {
				continue
			}
			if len(line) < at || line[at-1] != '%' {
				t.Errorf("width %d: the share does not end at column %d:\n%s\n%s", width, at, heads, line)
			}
		}
	}
}

// Colour says nothing that is not said without it.
func TestColourIsNotNeeded(t *testing.T) {
	with, without := textOf(t, day(), Layout{Width: 90, Color: true}), textOf(t, day(), Layout{Width: 90})
	if with == without {
		t.Error("there is no colour")
	}
	for _, style := range []string{styleAlarm, styleCaution, styleHead, "0"} {
		with = strings.ReplaceAll(with, "\x1b["+style+"m", "")
	}
	if with != without {
		t.Error("text differs by more than colour")
	}
}

func TestTextIsPrintable(t *testing.T) {
	if text := textOf(t, day(), Layout{Width: 80}); strings.ContainsAny(text, "\x1b\r\t\x00") {
		t.Error("a control character of a file name reached the text")
	}
	for s, want := range map[string]string{"a b": "a b", "ü/日本.mov": "ü/日本.mov", "a\nb": `a\nb`, "\x1b[2J\"": `\x1b[2J"`, "\xff": `\xff`, "\u202e": `\u202e`} {
		if got := Printable(s); got != want {
			t.Errorf("%q: got %q, want %q", s, got, want)
		}
	}
}

func TestShorten(t *testing.T) {
	for _, test := range []struct {
		s     string
		width int
		want  string
	}{
		{"take.mov", 8, "take.mov"}, {"day/roll/take.mov", 10, "day~ke.mov"}, {"take.mov", 1, "~"}, {"take.mov", 2, "~v"},
		{"日本日本日本.mov", 9, "日~本.mov"}, {"", 0, ""},
	} {
		if got := shorten(test.s, test.width); got != test.want {
			t.Errorf("%q in %d: got %q, want %q", test.s, test.width, got, test.want)
		}
	}
}

func TestShortenPath(t *testing.T) {
	for _, test := range []struct {
		path  string
		width int
		want  string
	}{
		{"day/roll/take.mov", 17, "day/roll/take.mov"}, {"day/roll/take.mov", 16, "~/roll/take.mov"}, {"day/roll/take.mov", 13, "~/take.mov"},
		{"day/roll/take.mov", 9, "take.mov"}, {"day/roll/take.mov", 7, "ta~.mov"}, {`d:\roll\take.mov`, 12, `~\take.mov`}, {"日本/\x1btake.mov", 14, `~/\x1btake.mov`},
	} {
		if got := shortenPath(test.path, test.width); got != test.want {
			t.Errorf("%q in %d: got %q, want %q", test.path, test.width, got, test.want)
		}
	}
}

// On a narrow terminal the folders that all clips share give way first; the file's name stays whole.
func TestPathsOnANarrowTerminal(t *testing.T) {
	doc := day()
	doc.Clips, doc.Failed = doc.Clips[:2], nil
	doc.Clips[0].Path, doc.Clips[1].Path = "/media/card/day1/A001_C003_take.mov", "/media/card/day2/A001_C004_take.mov"
	for width, wants := range map[int][]string{
		140: {"  /media/card/day1/A001_C003_take.mov  ", "  headroom  "},
		100: {"clip in /media/card/ ", "  day1/A001_C003_take.mov  ", "  headroom  "},
		80:  {"  ~/A001_C003_take.mov  ", "  by  "},
		70:  {"  A001_C003_take.mov  ", "  at -4  "},
	} {
		text := textOf(t, doc, Layout{Width: width})
		for _, want := range wants {
			if !strings.Contains(text, want) {
				t.Errorf("%q is missing in %d columns:\n%s", want, width, text)
			}
		}
	}
}

func TestWrap(t *testing.T) {
	got := Wrap("Pull 1.65 stops before the display transform; 54.9 % now.", "  ", 20)
	want := "  Pull 1.65 stops\n  before the display\n  transform; 54.9 %\n  now.\n"
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if got := Wrap("a b", "> ", 0); got != "> a b\n" {
		t.Errorf("without a width: %q", got)
	}
}

func TestSummary(t *testing.T) {
	alarm := Clip{Advice: Advice{Findings: []Finding{{Level: "alarm"}}}}
	for _, test := range []struct {
		clips  []Clip
		failed int
		want   string
	}{
		{nil, 0, "No clip measured."},
		{nil, 2, "No clip measured, 2 could not be measured."},
		{[]Clip{{}}, 0, "1 clip measured, none needs a person."},
		{[]Clip{{}, alarm}, 1, "2 clips measured, 1 needs a person (!), 1 could not be measured."},
		{[]Clip{alarm, alarm, {}}, 0, "3 clips measured, 2 need a person (!)."},
	} {
		if got := Summary(Document{Clips: test.clips, Failed: make([]Failure, test.failed)}); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

// After a long list the clips that need a person are named again, each on a line that fits.
func TestSummaryNamesTheUrgent(t *testing.T) {
	tail := func(clips, urgent, width int) string {
		doc := Document{}
		for i := range clips {
			c := Clip{Path: fmt.Sprintf("card/a rather long folder/%02d.mov", i)}
			if i < urgent {
				c.Advice.Findings = []Finding{{Level: "alarm"}}
			}
			doc.Clips = append(doc.Clips, c)
		}
		_, after, _ := strings.Cut(textOf(t, doc, Layout{Width: width}), "(!).\n")
		return after
	}
	for _, test := range []struct {
		clips, urgent, width int
		want                 string
	}{
		{8, 2, 0, ""}, {9, 2, 0, "! card/a rather long folder/00.mov\n! card/a rather long folder/01.mov\n"},
		{9, 1, 30, "! ~/00.mov\n"}, {9, 0, 0, ""},
	} {
		if got := tail(test.clips, test.urgent, test.width); got != test.want {
			t.Errorf("%d of %d clips in %d columns:\n%s", test.urgent, test.clips, test.width, got)
		}
	}
	if got := tail(30, 25, 0); strings.Count(got, "! ") != 20 || !strings.HasSuffix(got, "\n  and 5 more\n") {
		t.Errorf("25 of 30 clips:\n%s", got)
	}
}

// Whatever a file is called, what is printed of it is one line of printable characters, and a
// name that has only those is left alone.
func FuzzPrintable(f *testing.F) {
	for _, s := range []string{"take.mov", "\x1b[2J", "a\nb", "\xff\xfe", "日本", "\u202ea", `"\`, ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Printable(s)
		for _, r := range got {
			if !strconv.IsPrint(r) {
				t.Fatalf("%q prints %q", s, got)
			}
		}
		if again := Printable(got); again != got {
			t.Errorf("%q prints %q, and that %q", s, got, again)
		}
		if width := cells(shorten(got, 10)); width > 10 {
			t.Errorf("%q shortened to 10 columns takes %d", s, width)
		}
	})
}
