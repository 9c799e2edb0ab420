package text

import (
	"strconv"
	"testing"

	"stopledger/decode/metadata"
)

func TestShorten(t *testing.T) {
	for _, test := range []struct {
		s     string
		width int
		want  string
	}{
		{"take.mov", 8, "take.mov"}, {"day/roll/take.mov", 10, "da...e.mov"}, {"take.mov", 1, "."}, {"take.mov", 4, "...v"},
		{"日本日本日本.mov", 9, "日....mov"}, {"", 0, ""},
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
		{"day/roll/take.mov", 17, "day/roll/take.mov"}, {"day/roll/take.mov", 16, ".../take.mov"},
		{"day/roll/take.mov", 12, ".../take.mov"},
		{"day/roll/take.mov", 9, "take.mov"}, {"day/roll/take.mov", 7, "t...mov"}, {`d:\roll\take.mov`, 12, `...\take.mov`},
		{"日本/\x1btake.mov", 16, `.../\x1btake.mov`},
	} {
		if got := shortenPath(test.path, test.width); got != test.want {
			t.Errorf("%q in %d: got %q, want %q", test.path, test.width, got, test.want)
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

// Whatever a text is, shortened it fits, and so does a path.
func FuzzShorten(f *testing.F) {
	for _, s := range []string{"take.mov", "\x1b[2J", "a\nb", "\xff\xfe", "日本", "\u202ea", `"\`, "", "a/b/c",
		"///"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if width := cells(shorten(metadata.Printable(s), 10)); width > 10 {
			t.Errorf("%q shortened to 10 columns takes %d", s, width)
		}
		if width := cells(shortenPath(s, 10)); width > 10 {
			t.Errorf("the path %q shortened to 10 columns takes %d", s, width)
		}
	})
}

// Whatever a file is called, what is printed of it is one line of printable characters, and a
// name that has only those is left alone.
func FuzzPrintable(f *testing.F) {
	for _, s := range []string{"take.mov", "\x1b[2J", "a\nb", "\xff\xfe", "日本", "\u202ea", `"\`, ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := metadata.Printable(s)
		for _, r := range got {
			if !strconv.IsPrint(r) {
				t.Fatalf("%q prints %q", s, got)
			}
		}
		if again := metadata.Printable(got); again != got {
			t.Errorf("%q prints %q, and that %q", s, got, again)
		}
	})
}
