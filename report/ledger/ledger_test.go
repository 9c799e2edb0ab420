package ledger

import (
	"bytes"
	"database/sql"
	"errors"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"stopledger/curve"
)

// opened locks a folder and opens its ledger; close ends both.
func opened(t *testing.T, dir string) (l *Ledger, closeIt func()) {
	t.Helper()
	lock, err := LockFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	if l, err = Open(dir, lock, false); err != nil {
		t.Fatal(err)
	}
	return l, func() {
		t.Helper()
		if err := l.Close(); err != nil {
			t.Error(err)
		}
		lock.Release()
	}
}

func keyOf(path string) Key {
	return Key{Path: path, Settings: "s", Version: "1",
		Fingerprint: Fingerprint{Bytes: 7, Modified: 8, Digest: Digest{9}}}
}

func must[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func noError(t *testing.T, errs ...error) {
	t.Helper()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
}

// commit keeps an outcome.
func commit(t *testing.T, l *Ledger, k Key, measurement string) ID {
	t.Helper()
	return must(l.Commit(k, Outcome{Measurement: []byte(measurement)}))(t)
}

// What a run kept is there for the next one, in one file that is read where nothing can be written.
func TestKept(t *testing.T) {
	dir := t.TempDir()
	odd := "b\xff?#%.mov" // no Unicode
	l, closeIt := opened(t, dir)
	want := Report{Head: []byte("head"), Complete: true, Entries: []Entry{
		{Name: "a", Path: "a.mov", Outcome: commit(t, l, keyOf("a.mov"), "grey"), Facts: &Facts{
			RecordedOn: "2026-03-01", Camera: "C", Curve: "V-Log", ISO: 800, Method: "card", Placement: 1.5,
			Low: 1.4, High: 1.6, Floor: -8, Shadows: 30, Clipped: 0.01,
			Headroom: 2, Action: "pull", Offset: -1.5, Level: "note"}},
		{Name: odd, Path: odd, Outcome: must(l.Commit(keyOf(odd), Outcome{Reason: Content, Error: "no clip"}))(t)},
		{Name: "late.mov", Path: "late.mov"},
		{Name: "none", Path: "none", Error: "gone"},
	}}
	noError(t, l.KeepReport(want),
		l.KeepPictures(Digest{1}, []byte("x.png")), l.KeepPictures(Digest{2}, []byte("y.png")),
		l.ForgetPictures(map[Digest]bool{{2}: true}))
	closeIt()
	files := must(os.ReadDir(dir))(t)
	if len(files) != 1 || files[0].Name() != FileName {
		t.Fatalf("the folder holds %v", files)
	}
	if head := must(os.ReadFile(filepath.Join(dir, FileName)))(t); head[18] != 1 || head[19] != 1 {
		t.Errorf("it says it has a write-ahead log: %d, %d", head[18], head[19]) // fileformat2.html, 1.3.3
	}
	l = must(OpenReadOnly(dir))(t)
	defer l.Close()
	if got := must(l.Report())(t); !reflect.DeepEqual(*got, want) {
		t.Errorf("the report is %+v", got)
	}
	a, b := must(l.Outcome(want.Entries[0].Outcome))(t), must(l.Outcome(want.Entries[1].Outcome))(t)
	if string(a.Measurement) != "grey" || a.Reason != Measured ||
		b.Measurement != nil || b.Reason != Content || b.Error != "no clip" {
		t.Errorf("outcomes %+v, %+v", a, b)
	}
	if x, y := must(l.Pictures(Digest{1}))(t), must(l.Pictures(Digest{2}))(t); x != nil || string(y) != "y.png" {
		t.Errorf("pictures %q, %q", x, y)
	}
	if _, err := l.Commit(keyOf("c.mov"), Outcome{}); err == nil {
		t.Error("a ledger that was opened to be read was written")
	}
}

// What is not known stays so.
func TestUnknownFacts(t *testing.T) {
	l := must(Temporary())(t)
	defer l.Close()
	none := curve.Unknown[curve.Stops]()
	noError(t, l.KeepReport(Report{Entries: []Entry{{Facts: &Facts{Action: "none",
		Placement: none, Low: none, High: none, Floor: none, Shadows: curve.Unknown[curve.Decibels](),
		Headroom: none, Offset: none}}}}))
	f := must(l.Report())(t).Entries[0].Facts
	for i, v := range []float64{float64(f.Placement), float64(f.Low), float64(f.High), float64(f.Floor),
		float64(f.Shadows), float64(f.Headroom), float64(f.Offset)} {
		if !math.IsNaN(v) {
			t.Errorf("fact %d: %g", i, v)
		}
	}
	if f.Clipped != 0 || f.Action != "none" {
		t.Errorf("facts %+v", f)
	}
}

// An outcome is used again only where everything is as it was, and it would be the same.
func TestWhatIsUsedAgain(t *testing.T) {
	for about, c := range map[string]struct {
		change func(*Key)
		reason Reason
		again  bool
	}{
		"nothing":          {func(*Key) {}, Measured, true},
		"path":             {func(k *Key) { k.Path = "b.mov" }, Measured, false},
		"settings":         {func(k *Key) { k.Settings = "t" }, Measured, false},
		"version":          {func(k *Key) { k.Version = "2" }, Measured, false},
		"size":             {func(k *Key) { k.Fingerprint.Bytes++ }, Measured, false},
		"time":             {func(k *Key) { k.Fingerprint.Modified++ }, Measured, false},
		"content":          {func(k *Key) { k.Fingerprint.Digest[3]++ }, Measured, false},
		"refused":          {func(*Key) {}, Content, true},
		"refused, version": {func(k *Key) { k.Version = "2" }, Content, false},
		"refused, file":    {func(k *Key) { k.Fingerprint.Bytes++ }, Content, false},
		"took too long":    {func(*Key) {}, OutOfTime, false},
		"took too much":    {func(*Key) {}, OutOfRoom, false},
		"died":             {func(*Key) {}, Died, false},
	} {
		l := must(Temporary())(t)
		key := keyOf("a.mov")
		id := must(l.Commit(key, Outcome{Reason: c.reason, Measurement: []byte("m")}))(t)
		c.change(&key)
		if found := must(l.Find(key))(t); found != map[bool]ID{true: id}[c.again] {
			t.Errorf("%s: found %v", about, found)
		}
		noError(t, l.Close())
	}
}

// Outcomes stay as long as the report or resuming needs them.
func TestWhatIsForgotten(t *testing.T) {
	l := must(Temporary())(t)
	defer l.Close()
	first, changed, other := keyOf("a.mov"), keyOf("a.mov"), keyOf("a.mov")
	changed.Fingerprint.Bytes, other.Settings = 1, "other"
	report := func(id ID) Report { return Report{Entries: []Entry{{Path: "a.mov", Outcome: id}}} }
	was := commit(t, l, first, "first")
	noError(t, l.KeepReport(report(was)))
	is, beside := commit(t, l, changed, "changed"), commit(t, l, other, "other")
	if string(must(l.Outcome(was))(t).Measurement) != "first" {
		t.Error("the report's outcome is gone")
	}
	if must(l.Find(changed))(t) != is || must(l.Find(first))(t) != 0 {
		t.Error("not the latest is used")
	}
	noError(t, l.KeepReport(report(is)))
	if _, err := l.Outcome(was); err == nil || must(l.Find(changed))(t) != is || must(l.Find(other))(t) != beside {
		t.Error("what nothing needs stays, or the other way round")
	}
}

// Starting over uses nothing, and keeps what the report is of until there is another.
func TestFresh(t *testing.T) {
	dir := t.TempDir()
	l, closeIt := opened(t, dir)
	old := commit(t, l, keyOf("a.mov"), "old")
	noError(t, l.KeepReport(Report{Entries: []Entry{{Path: "a.mov", Outcome: old}}}))
	closeIt()
	lock := must(LockFolder(dir))(t)
	l = must(Open(dir, lock, true))(t)
	if must(l.Find(keyOf("a.mov")))(t) != 0 || string(must(l.Outcome(old))(t).Measurement) != "old" {
		t.Error("an earlier outcome is used, or the report's is gone")
	}
	again := commit(t, l, keyOf("a.mov"), "new")
	if must(l.Find(keyOf("a.mov")))(t) != again {
		t.Error("what was measured since is not used")
	}
	noError(t, l.KeepReport(Report{Entries: []Entry{{Path: "a.mov", Outcome: again}}}))
	if _, err := l.Outcome(old); err == nil {
		t.Error("what nothing needs stays")
	}
	noError(t, l.Close())
	lock.Release()
}

// plain makes a database of any kind.
func plain(t *testing.T, path string, statements ...string) {
	t.Helper()
	db := must(sql.Open("sqlite3", path))(t)
	defer db.Close()
	for _, s := range statements {
		must(db.Exec(s))(t)
	}
}

// written makes a ledger with some content and returns its file.
func written(t *testing.T, dir string) string {
	t.Helper()
	l, closeIt := opened(t, dir)
	id := commit(t, l, keyOf("a.mov"), strings.Repeat("measured", 5000))
	noError(t, l.KeepReport(Report{Complete: true, Entries: []Entry{{Name: "a.mov", Path: "a.mov", Outcome: id}}}))
	closeIt()
	return filepath.Join(dir, FileName)
}

// What is no ledger of this version is refused with what it is, and not touched.
func TestRefused(t *testing.T) {
	for about, c := range map[string]struct {
		make  func(t *testing.T, path string)
		says  string
		fresh bool // --fresh starts over
	}{
		"a text": {func(t *testing.T, p string) {
			noError(t, os.WriteFile(p, []byte("notes"), 0o644))
		}, "did not write", false},
		"nothing":  {func(t *testing.T, p string) { noError(t, os.WriteFile(p, nil, 0o644)) }, "did not write", false},
		"a folder": {func(t *testing.T, p string) { noError(t, os.Mkdir(p, 0o755)) }, "is no file", false},
		"a link": {func(t *testing.T, p string) {
			noError(t, os.Symlink(written(t, t.TempDir()), p))
		}, "is no file", false},
		"another's database": {func(t *testing.T, p string) {
			plain(t, p, "CREATE TABLE clip (id)")
		}, "did not write", false},
		"one that says it is ours": {func(t *testing.T, p string) {
			plain(t, p, "CREATE TABLE outcome (id)", "PRAGMA application_id = 1400130661", "PRAGMA user_version = 1")
		}, "did not write", false},
		"one with a trigger": {func(t *testing.T, p string) {
			plain(t, written(t, filepath.Dir(p)), "CREATE TRIGGER more AFTER INSERT ON entry BEGIN DELETE FROM outcome; END")
		}, "did not write", false},
		"of a later version": {func(t *testing.T, p string) {
			plain(t, written(t, filepath.Dir(p)), "PRAGMA user_version = 99")
		}, "a later version of stopledger", true},
		"damaged": {func(t *testing.T, p string) {
			b := must(os.ReadFile(written(t, filepath.Dir(p))))(t)
			for i := 4096; i < len(b); i += 64 {
				b[i] ^= 0x55
			}
			noError(t, os.WriteFile(p, b, 0o644))
		}, "damaged", true},
		"cut off": {func(t *testing.T, p string) {
			noError(t, os.Truncate(written(t, filepath.Dir(p)), 10000))
		}, "damaged", true},
	} {
		t.Run(about, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, FileName)
			c.make(t, path)
			before, _ := os.ReadFile(path)
			lock := must(LockFolder(dir))(t)
			defer lock.Release()
			_, err := Open(dir, lock, false)
			_, readOnly := OpenReadOnly(dir)
			for _, err := range []error{err, readOnly} {
				if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
					t.Errorf("told: %v", err)
				}
			}
			if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
				t.Error("it was changed")
			}
			l, err := Open(dir, lock, true)
			if (err == nil) != c.fresh {
				t.Errorf("starting over: %v", err)
			}
			if err == nil {
				noError(t, l.KeepReport(Report{}), l.Close())
			}
		})
	}
	if _, err := OpenReadOnly(t.TempDir()); !errors.Is(err, ErrMissing) {
		t.Errorf("a folder without one: %v", err)
	}
}

// A ledger of an earlier version is brought up when it is opened to be written, with what it holds,
// and refused by name where it cannot be written.
func TestUpgrade(t *testing.T) {
	dir := t.TempDir()
	written(t, dir)
	later := append([]string{layout[0]}, "ALTER TABLE report ADD COLUMN note TEXT", "CREATE TABLE more (id INTEGER)")
	db := must(connect(filepath.Join(dir, FileName), url.Values{"mode": {"ro"}}))(t)
	if version, err := check(db, later); err != nil || version != 1 {
		t.Errorf("version %d: %v", version, err)
	}
	db.Close()
	for range 2 {
		l := must(open(dir, true, later))(t)
		if version := must(versionOf(l.db))(t); version != 3 {
			t.Errorf("version %d", version)
		}
		must(l.db.Exec("UPDATE report SET note = 'kept'"))(t)
		if len(must(l.Outcome(must(l.Report())(t).Entries[0].Outcome))(t).Measurement) != 40000 {
			t.Error("what it held is gone")
		}
		noError(t, l.Close())
	}
	if _, err := open(dir, true, layout); !errors.Is(err, errNewer) {
		t.Errorf("by the earlier version: %v", err)
	}
}

// Where a file system lacks shared memory the journal is a rollback journal: unix-dotfile is a way of
// SQLite's to do without (https://sqlite.org/vfs.html, 2.1; https://sqlite.org/wal.html, 8).
func TestWithoutSharedMemory(t *testing.T) {
	dir := t.TempDir()
	path := written(t, dir)
	for vfs, want := range map[string]string{"unix": "wal", "unix-dotfile": "delete"} {
		db := must(connect(path, url.Values{"mode": {"rw"}, "vfs": {vfs}}))(t)
		noError(t, keepJournal(db))
		var mode string
		if noError(t, db.QueryRow("PRAGMA journal_mode").Scan(&mode)); mode != want {
			t.Errorf("%s: the journal is %s", vfs, mode)
		}
		l := &Ledger{db: db, dir: dir}
		commit(t, l, keyOf("a.mov"), "m")
		noError(t, l.Close())
	}
	l := must(Open(dir, &Lock{}, false))(t) // without locks
	commit(t, l, keyOf("a.mov"), "m")
	noError(t, l.Close())
}

// A reader sees what is committed while a run goes on, and does not stand in its way.
func TestReaderBesideARun(t *testing.T) {
	dir := t.TempDir()
	l, closeIt := opened(t, dir)
	noError(t, l.KeepReport(Report{Head: []byte("early")}))
	reader := must(OpenReadOnly(dir))(t)
	if r := must(reader.Report())(t); string(r.Head) != "early" {
		t.Errorf("it reads %q", r.Head)
	}
	if id := commit(t, l, keyOf("a.mov"), "m"); must(reader.Find(keyOf("a.mov")))(t) != id {
		t.Error("it does not see what is committed")
	}
	noError(t, reader.Close())
	closeIt()
}

// Settings of every connection.
func TestDistrust(t *testing.T) {
	l := must(Temporary())(t)
	defer l.Close()
	for setting, want := range map[string]int{"trusted_schema": 0, "cell_size_check": 1, "foreign_keys": 1} {
		var got int
		if noError(t, l.db.QueryRow("PRAGMA "+setting).Scan(&got)); got != want {
			t.Errorf("%s is %d", setting, got)
		}
	}
	if _, err := l.db.Exec("SELECT zeroblob(300000000)"); err == nil {
		t.Error("a row of 300 MB is read")
	}
}

// Whatever a ledger's bytes are, opening and reading it ends, and nothing is written.
func FuzzOpenReadOnly(f *testing.F) {
	dir := f.TempDir()
	lock, err := LockFolder(dir)
	if err != nil {
		f.Fatal(err)
	}
	l, err := Open(dir, lock, false)
	if err != nil {
		f.Fatal(err)
	}
	id, err := l.Commit(keyOf("a.mov"), Outcome{Measurement: bytes.Repeat([]byte("measured"), 600)})
	err = errors.Join(err, l.KeepReport(Report{Head: []byte("head"), Entries: []Entry{{Path: "a.mov", Outcome: id,
		Facts: &Facts{Action: "hold"}}, {Path: "b.mov"}}}), l.Close())
	if err != nil {
		f.Fatal(err)
	}
	whole, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint32(28), []byte{0xff, 0xff, 0xff, 0xff}, uint32(0))
	f.Add(uint32(4096), []byte{5, 0xff}, uint32(0))
	f.Add(uint32(100), []byte{2}, uint32(5000))
	f.Fuzz(func(t *testing.T, at uint32, with []byte, cut uint32) {
		b := bytes.Clone(whole)
		copy(b[int(at)%len(b):], with)
		b = b[:len(b)-int(cut)%len(b)]
		dir := t.TempDir()
		noError(t, os.WriteFile(filepath.Join(dir, FileName), b, 0o644))
		l, err := OpenReadOnly(dir)
		if err != nil {
			return
		}
		defer l.Close()
		if r, err := l.Report(); err == nil && r != nil {
			for _, e := range r.Entries {
				_, _ = l.Outcome(e.Outcome)
			}
		}
		if files := must(os.ReadDir(dir))(t); len(files) != 1 {
			t.Errorf("left behind: %v", files)
		}
	})
}

// An outcome taken over from another ledger is as it was there, and is there once.
func TestAdopted(t *testing.T) {
	from, closeFrom := opened(t, t.TempDir())
	defer closeFrom()
	into, closeInto := opened(t, t.TempDir())
	defer closeInto()
	ids := map[ID]bool{}
	for _, id := range []ID{commit(t, from, keyOf("a.mov"), "grey"), commit(t, from, keyOf("b.mov"), "white"),
		must(from.Commit(keyOf("c.mov"), Outcome{Reason: Content, Error: "no clip"}))(t)} {
		want := must(from.Record(id))(t)
		want.Made = "2020-01-02T03:04:05Z"
		first, again := must(into.Adopt(want))(t), must(into.Adopt(want))(t)
		if first != again || ids[first] {
			t.Errorf("%s: adopted as %d, then %d", want.Path, first, again)
		}
		ids[first] = true
		if got := must(into.Record(first))(t); !reflect.DeepEqual(got, want) {
			t.Errorf("there %+v, here %+v", want, got)
		}
		if found := must(into.Find(want.Key))(t); found != first {
			t.Errorf("%s: found %d, want %d", want.Path, found, first)
		}
	}
}
