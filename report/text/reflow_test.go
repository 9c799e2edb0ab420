package text

import "testing"

func TestReflow(t *testing.T) {
	for _, test := range []struct{ name, text, want string }{
		{"paragraph", "one two\nthree four five\n\nsix\n", "one two three\nfour five\n\nsix\n"},
		{"command", "Examples:\n  stopledger audit A001.mov B001.mov\n", "Examples:\n  stopledger audit A001.mov B001.mov\n"},
		{"list", "  clf  one two three\n       four\n  cube  five\nsix\n",
			"  clf  one two\n       three\n       four\n  cube  five\nsix\n"},
		{"usage", "Usage: stopledger demo [flags] [DIR]\nUsage: b\n", "Usage: stopledger demo [flags] [DIR]\nUsage: b\n"},
	} {
		if got := Reflow(test.text, 16); got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}
