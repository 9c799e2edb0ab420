package history

import (
	"crypto/sha256"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/ledger"
)

// A take is a clip of an invented audit.
type take struct {
	path, content, recorded, camera string
	iso                             int
	method                          string
	placement                       curve.Stops
	clipped                         curve.Share
}

// fileTime is when the files of takes were changed: late in the evening of 2 November in UTC.
var fileTime = time.Date(2026, 11, 2, 23, 30, 0, 0, time.UTC)

// auditOf writes a folder with the ledger of an audit.
func auditOf(t *testing.T, dir string, takes ...take) {
	t.Helper()
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	lock, err := ledger.LockFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Release()
	l, err := ledger.Open(dir, lock, false)
	if err != nil {
		t.Fatal(err)
	}
	r := ledger.Report{Head: []byte("head"), Complete: true}
	for _, k := range takes {
		print := ledger.Fingerprint{Bytes: 1, Modified: fileTime.UnixNano(), Digest: sha256.Sum256([]byte(k.content))}
		id, err := l.Commit(ledger.Key{Path: k.path, Settings: "s", Version: "v", Fingerprint: print},
			ledger.Outcome{Measurement: []byte("m")})
		if err != nil {
			t.Fatal(err)
		}
		r.Entries = append(r.Entries, ledger.Entry{Name: k.path, Path: k.path, Outcome: id, Facts: &ledger.Facts{
			RecordedOn: k.recorded, Camera: k.camera, Curve: "V-Log", ISO: k.iso, Method: k.method, Placement: k.placement,
			Floor: curve.Unknown[curve.Stops](), Clipped: k.clipped, Action: "none"}})
	}
	r.Entries = append(r.Entries, ledger.Entry{Name: "bad.mov", Path: "bad.mov", Error: "cut off"})
	if err := l.KeepReport(r); err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, q Question) *report.Days {
	t.Helper()
	if q.Zone == nil {
		q.Zone = time.UTC
	}
	d, err := Read(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func dates(d *report.Days) (list []string) {
	for _, day := range d.Days {
		list = append(list, day.Date)
	}
	return list
}

// Days are those of the recording in the zone that it names, else those of the file in the zone asked
// for: late in the evening in UTC it is the next day in Tokyo.
func TestDayOfAClip(t *testing.T) {
	dir := t.TempDir()
	auditOf(t, dir,
		take{path: "a", content: "a", recorded: "2026-10-31T23:59:00-07:00", method: "card"},
		take{path: "b", content: "b", method: "card"},
		take{path: "c", content: "c", recorded: "yesterday", method: "card"})
	d := read(t, Question{Folders: []string{dir}, Zone: time.FixedZone("", 9*60*60)})
	if got := dates(d); !slices.Equal(got, []string{"2026-10-31", "2026-11-03"}) {
		t.Fatalf("days %q", got)
	}
	if z := d.Days[0].Zones; !slices.Equal(z, []string{"-07:00"}) || d.Days[0].ByFileTime != 0 {
		t.Errorf("%+v", d.Days[0])
	}
	if z := d.Days[1].Zones; !slices.Equal(z, []string{"+09:00"}) || d.Days[1].ByFileTime != 2 {
		t.Errorf("%+v", d.Days[1])
	}
}

// Figures are medians with least and most, by camera and ISO; a scene's average is no grey, and what
// is not known is null and counted nowhere.
func TestSummedUp(t *testing.T) {
	dir := t.TempDir()
	auditOf(t, dir,
		take{"a", "a", "2026-11-02T10:00:00Z", "Invented One", 800, "card", 1.5, 0.02},
		take{"b", "b", "2026-11-02T10:00:00Z", "Invented One", 800, "chart", 0.5, 0},
		take{"c", "c", "2026-11-02T10:00:00Z", "Invented One", 800, "face", 0.25, 0.5},
		take{"d", "d", "2026-11-02T10:00:00Z", "Invented One", 800, "scene", -3, 0.04},
		take{"e", "e", "2026-11-02T10:00:00Z", "Invented One", 3200, "scene", -3, curve.Share(math.NaN())},
		take{"f", "f", "2026-11-02T10:00:00Z", "", 0, "", curve.Stops(math.NaN()), 0})
	d := read(t, Question{Folders: []string{dir}})
	groups := d.Days[0].Groups
	if len(groups) != 3 || d.Clips != 6 || groups[0].Camera != "" || groups[1].ISO != 800 || groups[2].ISO != 3200 {
		t.Fatalf("%+v", d)
	}
	g := groups[1]
	placed := report.Span[curve.Stops]{Median: 0.5, Least: 0.25, Most: 1.5, Clips: 3}
	if g.Clips != 4 || g.NoGrey != 1 || g.Placement != placed {
		t.Errorf("%+v", g)
	}
	if g.Clipped != (report.Span[curve.Share]{Median: 0.03, Least: 0, Most: 0.5, Clips: 4}) {
		t.Errorf("clipped %+v", g.Clipped)
	}
	if p := groups[2].Placement; p.Clips != 0 || curve.Finite(p.Median) || curve.Finite(groups[2].Clipped.Most) {
		t.Errorf("%+v", groups[2])
	}
	only := read(t, Question{Folders: []string{dir}, Camera: "one"})
	if only.Clips != 5 || read(t, Question{Folders: []string{dir}, Since: "2026-11-03"}).Clips != 0 {
		t.Errorf("%+v", only)
	}
}

// A clip that several audits have is counted once, as the last one has it; another file of the same
// path is another clip.
func TestCountedOnce(t *testing.T) {
	dir := t.TempDir()
	first := filepath.Join(dir, "monday")
	auditOf(t, first,
		take{path: "/card/a.mov", content: "a", method: "card", placement: 1},
		take{path: "/card/b.mov", content: "b", method: "card", placement: 1})
	time.Sleep(1100 * time.Millisecond) // when an outcome was made is told by the second
	auditOf(t, filepath.Join(dir, "archive", "again"),
		take{path: "/card/a.mov", content: "a", method: "card", placement: 2},
		take{path: "/copy/b.mov", content: "b", method: "card", placement: 2},
		take{path: "/card/a.mov", content: "another card", method: "card", placement: 3})
	for _, folders := range [][]string{{dir}, {first, dir}, {filepath.Join(dir, "archive"), first}} {
		d := read(t, Question{Folders: folders})
		if d.Clips != 3 || d.Again != 2 || len(d.Audits) != 2 {
			t.Fatalf("%q: %+v", folders, d)
		}
		if p := d.Days[0].Groups[0].Placement; p.Least != 2 || p.Most != 3 {
			t.Errorf("%q: placement %+v", folders, p)
		}
	}
}

// What is no ledger, or a broken one, is told, and the others are read; nothing is written.
func TestUntrusted(t *testing.T) {
	dir := t.TempDir()
	auditOf(t, filepath.Join(dir, "good"), take{path: "a", content: "a", method: "card"})
	bad := filepath.Join(dir, "bad")
	if err := os.Mkdir(bad, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"", "no database at all", "SQLite format 3\x00" + strings.Repeat("\xff", 4096)} {
		if err := os.WriteFile(filepath.Join(bad, ledger.FileName), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		d := read(t, Question{Folders: []string{dir}})
		if d.Clips != 1 || len(d.Unread) != 1 || d.Unread[0].Path != bad {
			t.Errorf("%q: %+v", text, d)
		}
	}
	good, err := os.ReadDir(filepath.Join(dir, "good"))
	if err != nil || len(good) != 1 {
		t.Errorf("%v: %v", err, good)
	}
	if _, err := Read(t.Context(), Question{Folders: []string{t.TempDir()}, Zone: time.UTC}); err == nil {
		t.Error("a folder without a ledger is taken")
	}
}
