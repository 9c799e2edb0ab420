package card

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stopledger/report"
)

func check(t *testing.T, l Listing, entries, skipped []string) {
	t.Helper()
	if got := names(l.Entries); !slices.Equal(got, entries) {
		t.Errorf("entries:\n got %q\nwant %q", got, entries)
	}
	if got := told(l.Skipped); !slices.Equal(got, skipped) {
		t.Errorf("skipped:\n got %q\nwant %q", got, skipped)
	}
}

// Of a card of every kind of thing each file is an entry or skipped with its reason.
func TestEverythingIsListed(t *testing.T) {
	inFolder(t, "card/a.mov", "card/b.R3D", "card/c.wav", "card/README", "card/.Trashes/x.mov", "card/._a.mov",
		"card/lost+found/y.mov", "card/still.tif", "card/e/f.braw")
	check(t, find(t, "card"), []string{"card/a.mov"}, []string{
		"hidden card/._a.mov: a hidden file: its name begins with a dot",
		"hidden card/.Trashes: a hidden folder: its name begins with a dot",
		"not-read card/b.R3D: files of kind .r3d are not read",
		"not-read card/c.wav: files of kind .wav are not read",
		"not-read card/e/f.braw: files of kind .braw are not read",
		"hidden card/lost+found: a folder that the system keeps for itself",
		"not-read card/README: a file without an ending is not read unless it is named by itself",
		"not-read card/still.tif: a single picture is not read unless it is named by itself",
	})
}

// A folder of random files: every file in it is an entry, a picture of a sequence that is one, or
// skipped, and none is both.
func TestNothingIsLeftOut(t *testing.T) {
	kinds := []string{".mov", ".MXF", ".r3d", ".dpx", ".xml", "", ".wav", ".png", ".lrv", ".jpg"}
	var files []string
	for i := range 300 {
		dir := []string{"", "SUB/", "CLIP/", "Proxy/", "x.mov/"}[i*7%5]
		files = append(files, "card/"+dir+"t"+strings.Repeat("0", i%3)+string(rune('0'+i*13%10))+kinds[i*17%len(kinds)])
	}
	inFolder(t, files...)
	l := find(t, "card")
	times := map[string]int{}
	for _, e := range l.Entries {
		times[e.Path]++
		for i := range e.sequence.Count - 1 {
			times[e.folder+e.sequence.Name(i+1)]++
		}
	}
	for _, s := range l.Skipped {
		times[s.Path]++
	}
	for _, f := range files {
		if companion := filepath.Ext(f) == ".xml"; times[f] != 1 && !(companion && times[f] == 0) {
			t.Errorf("%s is listed %d times", f, times[f])
		}
	}
}

func TestGapsInSequences(t *testing.T) {
	inFolder(t, "s/a.08.dpx", "s/a.09.dpx", "s/a.11.dpx", "s/a.14.dpx", "s/a.15.dpx", "s/b9.png", "s/b10.png", "s/b12.png",
		"s/b13.png", "s/c1.tif")
	check(t, find(t, "s"), []string{"s/a.[08-09].dpx", "s/a.[14-15].dpx", "s/b[9-10].png", "s/b[12-13].png"}, []string{
		"gap s/a.[10-10].dpx: 1 missing; the sequence is measured in 2 parts",
		"gap s/a.11.dpx: a single picture between gaps of a sequence",
		"gap s/a.[12-13].dpx: 2 missing; the sequence is measured in 2 parts",
		"gap s/b[11-11].png: 1 missing; the sequence is measured in 2 parts",
		"not-read s/c1.tif: a single picture is not read unless it is named by itself",
	})
}

func TestHardLinks(t *testing.T) {
	inFolder(t, "d/a.mov", "e/other.mov")
	for _, name := range []string{"d/b.mov", "e/c.mxf"} {
		if err := os.Link("d/a.mov", name); err != nil {
			t.Skip(err)
		}
	}
	check(t, find(t, "d", "e"), []string{"d/a.mov", "e/other.mov"}, []string{
		"same d/b.mov: the same file as d/a.mov (a hard link)", "same e/c.mxf: the same file as d/a.mov (a hard link)"})
}

func linkUp(t *testing.T, links ...[2]string) {
	t.Helper()
	for _, l := range links {
		if err := os.Symlink(l[0], l[1]); err != nil {
			t.Skip(err)
		}
	}
}

// Links in folders are named; with follow each target is listed once, by its own path where that
// was asked for, and neither loops nor a link to the root's own folder go on for ever.
func TestLinks(t *testing.T) {
	inFolder(t, "day/take9.mov", "day/b/x.mov", "away/one.mxf", "away/deep/two.mxf", "day/notes.txt")
	linkUp(t, [2]string{"../day", "day/loop"}, [2]string{"self", "day/self"}, [2]string{"nowhere.mov", "day/broken.mov"},
		[2]string{"take9.mov", "day/again.mov"}, [2]string{"../away", "day/c"}, [2]string{"../../away/deep", "day/b/deep"},
		[2]string{"../../day/c", "away/deep/back"}, [2]string{"../away/one.mxf", "day/x.mxf"})
	notFollowed := []string{}
	for _, link := range []string{"again.mov", "b/deep", "broken.mov", "c", "loop", "self", "x.mxf"} {
		notFollowed = append(notFollowed, "link day/"+link+": a link; --follow follows it")
	}
	check(t, find(t, "day"), []string{"day/b/x.mov", "day/take9.mov"},
		slices.Insert(notFollowed, 5, "not-read day/notes.txt: files of kind .txt are not read"))

	l, err := Find(context.Background(), []string{"day"}, true, nil)
	if err != nil {
		t.Fatal(err)
	}
	entries := []string{"day/b/deep/two.mxf", "day/b/x.mov", "day/broken.mov", "day/c/one.mxf", "day/take9.mov"}
	check(t, l, entries, []string{
		"same day/again.mov: the same as day/take9.mov",
		"same day/b/deep/back: the same as day/c",
		"same day/c/deep: the same as day/b/deep",
		"same day/loop: the same as day",
		"not-read day/notes.txt: files of kind .txt are not read",
		"link day/self: a link that leads nowhere (too many levels of symbolic links)",
		"same day/x.mxf: the same as day/c/one.mxf",
	})
	if err := l.Entries[2].Err; err == nil || !strings.Contains(err.Error(), "leads nowhere") {
		t.Errorf("a link of a clip's name that leads nowhere: %v", err)
	}
}

// Each layout of proxies, thumbnails, sound and sidecars: what belongs to a clip is told apart only
// where the clip is there too, and is the larger.
func TestCopies(t *testing.T) {
	for _, test := range []struct {
		name    string
		files   []string
		entries []string
		skipped []string
	}{
		{"xml and proxies in folders of their own",
			[]string{"M4ROOT/CLIP/C0001.MP4", "M4ROOT/CLIP/C0001M01.XML", "M4ROOT/SUB/C0001S03.MP4:small",
				"M4ROOT/SUB/C0002S03.MP4:small", "M4ROOT/THMBNL/C0001T01.JPG", "M4ROOT/MEDIAPRO.XML"},
			[]string{"M4ROOT/CLIP/C0001.MP4", "M4ROOT/SUB/C0002S03.MP4"},
			[]string{"not-read M4ROOT/MEDIAPRO.XML: files of kind .xml are not read",
				"proxy M4ROOT/SUB/C0001S03.MP4: a proxy of M4ROOT/CLIP/C0001.MP4",
				"thumbnail M4ROOT/THMBNL/C0001T01.JPG: a thumbnail of M4ROOT/CLIP/C0001.MP4"}},
		{"essence in folders by kind",
			[]string{"CONTENTS/VIDEO/0001AB.MXF", "CONTENTS/AUDIO/0001AB00.MXF", "CONTENTS/CLIP/0001AB.XML",
				"CONTENTS/ICON/0001AB.BMP", "CONTENTS/PROXY/0001AB.MP4:small"},
			[]string{"CONTENTS/VIDEO/0001AB.MXF"},
			[]string{"sound CONTENTS/AUDIO/0001AB00.MXF: the sound of CONTENTS/VIDEO/0001AB.MXF",
				"thumbnail CONTENTS/ICON/0001AB.BMP: a thumbnail of CONTENTS/VIDEO/0001AB.MXF",
				"proxy CONTENTS/PROXY/0001AB.MP4: a proxy of CONTENTS/VIDEO/0001AB.MXF"}},
		{"beside the clip",
			[]string{"GX010001.MP4", "GL010001.LRV:small", "GX010001.THM", "D1.MP4", "D1.LRF:small", "D1.SRT", "lone.LRF",
				"T.mov", "T_Proxy.mov:small", "U.mov:small", "U_proxy.mov"},
			[]string{"D1.MP4", "GX010001.MP4", "T.mov", "U.mov", "U_proxy.mov"},
			[]string{"proxy D1.LRF: a proxy of D1.MP4", "proxy GL010001.LRV: a proxy of GX010001.MP4",
				"thumbnail GX010001.THM: a thumbnail of GX010001.MP4",
				"not-read lone.LRF: files of kind .lrf are not read",
				"proxy T_Proxy.mov: a proxy of T.mov"}},
		{"of a clip that is not read",
			[]string{"A001.braw", "Proxy/A001.mp4:small"}, []string{"."},
			[]string{"not-read A001.braw: files of kind .braw are not read", "proxy Proxy/A001.mp4: a proxy of A001.braw"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			inFolder(t, test.files...)
			l := find(t, ".")
			if len(test.entries) == 1 && test.entries[0] == "." {
				test.entries = []string{}
			}
			check(t, l, test.entries, test.skipped)
		})
	}
}

// A proxy named by itself, or whose folder is, is measured.
func TestProxyNamedByItself(t *testing.T) {
	inFolder(t, "CLIP/C0001.MP4", "SUB/C0001S03.MP4:small")
	check(t, find(t, "SUB/C0001S03.MP4", "CLIP"), []string{"SUB/C0001S03.MP4", "CLIP/C0001.MP4"}, []string{})
	check(t, find(t, "SUB"), []string{"SUB/C0001S03.MP4"}, []string{})
}

// What an audit wrote is no footage, but clips beside it are.
func TestReportsAreNoFootage(t *testing.T) {
	const stem = "day/pictures/a-0123456789-abcdef-"
	inFolder(t, "day/a.mov", "day/audit.json", "day/audit.csv", "day/index.html", stem+"strip-1.png", stem+"strip-2.png",
		"day/clips/a-0123456789.html", "day/clips/.a.html.12.part", "day/compare.mov", "day/notes.html", "day/log.txt",
		"day/.stopledger.lock", "day/ledger.sqlite-wal", "day/clips/b.mov", "day/clips/log.txt")
	check(t, find(t, "day"), []string{"day/a.mov", "day/clips/b.mov", "day/compare.mov"}, []string{
		"not-read day/clips/log.txt: files of kind .txt are not read",
		"not-read day/notes.html: files of kind .html are not read"})
}

// What a card's playlist says of files that are one recording is not read, and that is told.
func TestSplitRecordingsOfAPlaylist(t *testing.T) {
	inFolder(t, "AVCHD/BDMV/STREAM/00000.MTS", "AVCHD/BDMV/STREAM/00001.MTS", "AVCHD/BDMV/CLIPINF/00000.CPI",
		"AVCHD/BDMV/CLIPINF/00001.CPI", "AVCHD/BDMV/PLAYLIST/00000.MPL")
	check(t, find(t, "AVCHD"), []string{"AVCHD/BDMV/STREAM/00000.MTS", "AVCHD/BDMV/STREAM/00001.MTS"},
		[]string{"playlist AVCHD/BDMV/PLAYLIST/00000.MPL: a playlist is not read: where the camera split a recording " +
			"into several files, each is measured by itself"})
}

// While its first report is being made a folder has the lock, the log and the ledger alone.
func TestReportUnderWayIsNoFootage(t *testing.T) {
	inFolder(t, "day/a.mov", "day/log.txt", "day/ledger.sqlite", "day/.stopledger.lock", "other/log.txt", "other/a.mov")
	check(t, find(t, "day", "other"), []string{"day/a.mov", "other/a.mov"},
		[]string{"not-read other/log.txt: files of kind .txt are not read"})
}

// Names of any bytes are listed as they are; documents have them in valid UTF-8, each its own.
func TestNamesOfAnyBytes(t *testing.T) {
	inFolder(t, "d/a\xff.mov", "d/a\xfe.mov", "d/b\x1b[2J.r3d", "d/b\n.r3d")
	l := find(t, "d")
	if got := names(l.Entries); !slices.Equal(got, []string{"d/a\xfe.mov", "d/a\xff.mov"}) {
		t.Errorf("got %q", got)
	}
	if a, b := report.PlainPath(l.Entries[0].Name), report.PlainPath(l.Entries[1].Name); a == b {
		t.Errorf("both are %q", a)
	}
	if len(l.Skipped) != 2 {
		t.Errorf("got %q", told(l.Skipped))
	}
}

// Paths that the system cannot open are named as failed: a folder, and a clip.
func TestPathsThatAreTooLong(t *testing.T) {
	inFolder(t, "d/a.mov")
	name := strings.Repeat("n", 250)
	back, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chdir("d"); err != nil {
		t.Fatal(err)
	}
	for range 17 { // 17 x 251 is over 4,096 bytes
		if err := os.Mkdir(name, 0o755); err != nil {
			t.Skip(err)
		}
		if err := os.Chdir(name); err != nil {
			t.Fatal(err)
		}
		makeFile(t, strings.Repeat("c", 100)+".mov")
		makeFile(t, "z"+strings.Repeat("c", 240)+".r3d")
	}
	if err := os.Chdir(back); err != nil {
		t.Fatal(err)
	}
	l := find(t, "d")
	failed := 0
	for _, e := range l.Entries {
		if e.Err != nil {
			failed++
			if !strings.Contains(e.Err.Error(), "longer than the system can open") {
				t.Error(e.Err)
			}
		}
	}
	// Sixteen folders can be opened, and the clips in the first fifteen of them, besides the one above.
	if clips := len(l.Entries) - failed; clips != 16 || failed != 2 {
		t.Errorf("%d clips, %d failed: %q", clips, failed, names(l.Entries)[:2])
	}
	if len(l.Skipped) != 16 {
		t.Errorf("%d skipped", len(l.Skipped))
	}
}

func TestFindEndsWithItsContext(t *testing.T) {
	inFolder(t, "d/a.mov")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Find(ctx, []string{"d"}, false, nil); err != context.Canceled {
		t.Errorf("got %v", err)
	}
}

// A clip's name may be anything; it is listed once, whatever else lies beside it.
func FuzzNames(f *testing.F) {
	f.Add("C0001.MP4", "C0001S03.MP4")
	f.Add("a.0001.dpx", "a.0002.dpx")
	f.Add("a\xff_PROXY.mov", "a\xff.mov")
	f.Add("audit.json", "index.html")
	f.Fuzz(func(t *testing.T, a, b string) {
		for _, name := range []string{a, b} {
			if name == "" || strings.ContainsAny(name, "/\x00") || strings.HasPrefix(name, ".") || len(name) > 200 {
				t.Skip()
			}
		}
		inFolder(t, "d/"+a, "d/"+b)
		l := find(t, "d")
		if n := len(l.Entries) + len(l.Skipped); n > 4 || n == 0 && !strings.Contains(a+b, report.AuditDocument) {
			t.Errorf("%q, %q: %q, %q", a, b, names(l.Entries), told(l.Skipped))
		}
	})
}

// A hundred thousand files in a hundred folders: ten thousand clips, the rest pictures and others.
func BenchmarkFind(b *testing.B) {
	var files []string
	for folder := range 100 {
		for i := range 1000 {
			kind := []string{".mov", ".dpx", ".dpx", ".dpx", ".dpx", ".dpx", ".dpx", ".dpx", ".dpx", ".r3d"}[i%10]
			files = append(files, filepath.Join("card", strings.Repeat("x", 1+folder), "take"+itoa(1000+i)+kind))
		}
	}
	inFolder(b, files...)
	for b.Loop() {
		if l := find(b, "card"); len(l.Entries) < 10_000 {
			b.Fatalf("%d entries", len(l.Entries))
		}
	}
}
