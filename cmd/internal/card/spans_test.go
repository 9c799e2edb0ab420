package card

import (
	"fmt"
	"os"
	"slices"
	"testing"
)

// pieceXML is the clip XML of a part (layout from memory, see spanOf).
func pieceXML(self, previous, next string) string {
	ref := func(name, id string) string {
		if id == "" {
			return ""
		}
		return fmt.Sprintf("<%s><GlobalClipID>%s</GlobalClipID></%s>", name, id, name)
	}
	return fmt.Sprintf("<P2Main><ClipContent><GlobalClipID>%s</GlobalClipID><Relation><Connection>%s%s</Connection>"+
		"</Relation></ClipContent></P2Main>", self, ref("Previous", previous), ref("Next", next))
}

// Parts that name each other are one entry, where the first stands; those that only one side names,
// that name a part which is not there, or that go round, are clips of their own.
func TestSpannedClips(t *testing.T) {
	for _, test := range []struct {
		name    string
		links   map[string][3]string // stem: self, previous, next
		entries []string
		parts   map[string][]string
	}{
		{"three parts, out of order", map[string][3]string{"01": {"b", "a", "c"}, "02": {"c", "b", ""}, "03": {"a", "", "b"},
			"04": {"d", "", ""}}, []string{"03", "04"}, map[string][]string{"03": {"03", "01", "02"}}},
		{"one side", map[string][3]string{"01": {"a", "", "b"}, "02": {"b", "", ""}}, []string{"01", "02"}, nil},
		{"its start is on another card", map[string][3]string{"01": {"b", "a", "c"}, "02": {"c", "b", ""}}, []string{"01"},
			map[string][]string{"01": {"01", "02"}}},
		{"a part is missing", map[string][3]string{"01": {"a", "", "b"}, "03": {"c", "b", ""}}, []string{"01", "03"}, nil},
		{"round and round", map[string][3]string{"01": {"a", "b", "b"}, "02": {"b", "a", "a"}, "03": {"c", "c", "c"}},
			[]string{"01", "02", "03"}, nil},
		{"one name twice", map[string][3]string{"01": {"a", "", "b"}, "02": {"b", "a", ""}, "03": {"b", "a", ""}},
			[]string{"01", "03"}, map[string][]string{"01": {"01", "02"}}},
	} {
		t.Run(test.name, func(t *testing.T) {
			inFolder(t)
			path := func(stem string) string { return "c/CONTENTS/VIDEO/" + stem + ".MXF" }
			for stem, l := range test.links {
				makeFile(t, path(stem))
				makeFile(t, "c/CONTENTS/CLIP/"+stem+".XML")
				if err := os.WriteFile("c/CONTENTS/CLIP/"+stem+".XML", []byte(pieceXML(l[0], l[1], l[2])), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			var want []string
			for _, stem := range test.entries {
				want = append(want, path(stem))
			}
			l := find(t, "c")
			check(t, l, want, []string{})
			for i, stem := range test.entries {
				var parts []string
				for _, part := range test.parts[stem] {
					parts = append(parts, path(part))
				}
				if got := l.Entries[i].Parts; !slices.Equal(got, parts) {
					t.Errorf("%s has the parts %q, want %q", stem, got, parts)
				}
			}
		})
	}
}

// A clip whose second part grows is growing.
func TestPartThatGrows(t *testing.T) {
	inFolder(t, "a", "b")
	e := newClip("a", "b")
	touch(t, "b", "more")
	if !e.Changed() {
		t.Error("it did not change")
	}
}

// A recording that went on to a second card is one entry where the cards are named together.
func TestSpannedOverTwoCards(t *testing.T) {
	inFolder(t)
	for stem, text := range map[string]string{"c1/CONTENTS/%s/0001": pieceXML("a", "", "b"),
		"c2/CONTENTS/%s/0001": pieceXML("b", "a", "")} {
		makeFile(t, fmt.Sprintf(stem, "VIDEO")+".MXF")
		makeFile(t, fmt.Sprintf(stem, "CLIP")+".XML")
		if err := os.WriteFile(fmt.Sprintf(stem, "CLIP")+".XML", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const first, second = "c1/CONTENTS/VIDEO/0001.MXF", "c2/CONTENTS/VIDEO/0001.MXF"
	l := find(t, "c1", "c2")
	check(t, l, []string{first}, []string{})
	if parts := l.Entries[0].Parts; !slices.Equal(parts, []string{first, second}) {
		t.Errorf("parts %q", parts)
	}
}
