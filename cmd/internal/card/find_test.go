package card

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// under is the same paths below another folder.
func under(folder string, paths []string) []string {
	out := []string{}
	for _, p := range paths {
		_, rest, _ := strings.Cut(p, "/")
		out = append(out, folder+"/"+rest)
	}
	return out
}

func TestFind(t *testing.T) {
	inFolder(t, "day/take10.mov", "day/take9.MOV", "day/take9.xml", "day/.hidden.mov", "day/._take9.mov",
		"day/.trash/x.mov", "day/b/take2.mp4", "day/b/take2.txt", "day/c/", "other.bin", "single.mxf",
		"day/folder.mov/in.mov")
	for _, link := range [][2]string{
		{"../day", "day/c/loop"}, {"../..", "day/c/up"}, {"self", "day/c/self"}, {"nowhere.mov", "day/broken.mov"},
		{"take9.MOV", "day/again.mov"}, {"day", "linked"},
	} {
		if err := os.Symlink(link[0], link[1]); err != nil {
			t.Fatal(err)
		}
	}
	absolute, err := filepath.Abs("single.mxf")
	if err != nil {
		t.Fatal(err)
	}
	all := []string{"day/b/take2.mp4", "day/folder.mov/in.mov", "day/take9.MOV", "day/take10.mov"}
	for _, test := range []struct {
		name string
		args []string
		want []string
	}{
		{"folder", []string{"day"}, all},
		{"the same folder three times", []string{"day", "./day", "linked"}, all},
		{"a link named by itself", []string{"linked"}, under("linked", all)},
		{"named files keep their order", []string{"day/take10.mov", "day/b/take2.mp4"},
			[]string{"day/take10.mov", "day/b/take2.mp4"}},
		{"any name is taken if given", []string{"other.bin", "day/.hidden.mov"}, []string{"other.bin", "day/.hidden.mov"}},
		{"a clip given again", []string{"single.mxf", "./single.mxf", absolute, "day/../single.mxf"}, []string{"single.mxf"}},
		{"a clip given by a link", []string{"day/take9.MOV", "day/again.mov"}, []string{"day/take9.MOV"}},
		{"missing", []string{"gone.mov"}, []string{"gone.mov"}},
		{"hidden folder if given", []string{"day/.trash"}, []string{"day/.trash/x.mov"}},
	} {
		if got := names(find(t, test.args...).Entries); !slices.Equal(got, test.want) {
			t.Errorf("%s:\n got %q\nwant %q", test.name, got, test.want)
		}
	}
}

func TestNumberedPictures(t *testing.T) {
	inFolder(t, "shots/a.0009.dpx", "shots/a.0010.dpx", "shots/a.0011.dpx", "shots/a.0013.dpx", "shots/b1.png",
		"shots/still.tif",
		"shots/take2.mov", "report/audit.json",
		"report/pictures/a-0123456789-abcdef-strip0.png",
		"report/pictures/a-0123456789-abcdef-strip1.png")
	for _, test := range []struct {
		name string
		args []string
		want []string
	}{
		{"in a folder", []string{"shots"}, []string{"shots/a.[0009-0011].dpx", "shots/take2.mov"}},
		{"all named, as a shell does", []string{"shots/a.0009.dpx", "shots/a.0010.dpx", "shots/a.0011.dpx",
			"shots/a.0013.dpx"},
			[]string{"shots/a.[0009-0011].dpx", "shots/a.0013.dpx"}},
		{"from the middle", []string{"shots/a.0010.dpx"}, []string{"shots/a.[0010-0011].dpx"}},
		{"folder, then its first", []string{"shots", "shots/a.0009.dpx", "./shots/a.0010.dpx"},
			[]string{"shots/a.[0009-0011].dpx", "shots/take2.mov"}},
		{"single pictures if named", []string{"shots/still.tif", "shots/b1.png"},
			[]string{"shots/still.tif", "shots/b1.png"}},
		{"a report's pictures are no footage", []string{".", "report"},
			[]string{"shots/a.[0009-0011].dpx", "shots/take2.mov"}},
	} {
		if got := names(find(t, test.args...).Entries); !slices.Equal(got, test.want) {
			t.Errorf("%s:\n got %q\nwant %q", test.name, got, test.want)
		}
	}
	if first := find(t, "shots").Entries[0].Path; first != filepath.Join("shots", "a.0009.dpx") {
		t.Errorf("a sequence is opened by %q, not by its first picture", first)
	}
}

func TestFoldersWithoutClips(t *testing.T) {
	inFolder(t, "empty/", "notes/a.txt", "both/x.mov")
	entries := find(t, "empty", "both", "notes", "both").Entries
	if got, want := names(entries), []string{"empty", "both/x.mov", "notes"}; !slices.Equal(got, want) {
		t.Fatalf("got %q, want %q", got, want)
	}
	for _, i := range []int{0, 2} {
		if err := entries[i].Err; err == nil || !strings.Contains(err.Error(), "no clip in this folder") {
			t.Errorf("%s: error %v", entries[i].Path, err)
		}
	}
	if entries[1].Err != nil {
		t.Error(entries[1].Err)
	}
}

// What an entry's path is below the path asked for does not depend on where that lies.
func TestPathsBelow(t *testing.T) {
	inFolder(t, "day/a.mov", "day/roll/b.mov", "day/roll/shot.0001.dpx", "day/roll/shot.0002.dpx", "lone/c.mov")
	whole, err := filepath.Abs("day")
	if err != nil {
		t.Fatal(err)
	}
	for _, asked := range [][]string{{"day", "lone/c.mov"}, {"./day/", "./lone/../lone/c.mov"}, {whole, "lone/c.mov"}} {
		found, err := Find(t.Context(), asked, false, nil)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, e := range found.Entries {
			got = append(got, fmt.Sprint(e.Root, " ", e.Below))
		}
		want := []string{"0 a.mov", "0 roll/b.mov", "0 roll/shot.0001.dpx", "1 lone/c.mov"}
		if !slices.Equal(got, want) {
			t.Errorf("%q: %q, want %q", asked, got, want)
		}
	}
}
