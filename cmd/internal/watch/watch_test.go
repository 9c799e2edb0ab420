package watch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"stopledger/cmd/internal/card"
)

const quick = 120 * time.Millisecond // in which a clip comes to rest in these tests

// A watched folder hands on what each visit lists, by name, and what is said.
type watched struct {
	t      *testing.T
	dir    string
	visits chan []string

	mu   sync.Mutex
	said []string
}

func watchFolder(t *testing.T, w Watcher) *watched {
	t.Helper()
	f := &watched{t: t, dir: w.Dir, visits: make(chan []string, 100)}
	w.Settle = quick
	w.Say = func(s string) {
		f.mu.Lock()
		defer f.mu.Unlock()
		f.said = append(f.said, s)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- w.Each(ctx, func(l card.Listing) error {
			var names []string
			for _, e := range l.Entries {
				rel, _ := filepath.Rel(w.Dir, e.Name)
				names = append(names, rel)
			}
			f.visits <- names
			return nil
		})
	}()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	return f
}

func (f *watched) write(name, text string) {
	f.t.Helper()
	path := filepath.Join(f.dir, name)
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
		f.t.Fatal(err)
	}
}

// next expects a visit with these clips.
func (f *watched) next(want ...string) {
	f.t.Helper()
	select {
	case got := <-f.visits:
		if !slices.Equal(got, want) {
			f.t.Errorf("visited with %q, want %q", got, want)
		}
	case <-time.After(5 * time.Second):
		f.t.Fatalf("not visited with %q", want)
	}
}

// quiet expects no visit for a while.
func (f *watched) quiet() {
	f.t.Helper()
	select {
	case got := <-f.visits:
		f.t.Errorf("visited with %q", got)
	case <-time.After(4 * quick):
	}
}

func (f *watched) says(part string) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return strings.Contains(strings.Join(f.said, "\n"), part)
}

var errNone = errors.New("too many watches")

// ways to learn of changes.
var ways = map[string]func() (events, error){
	"told":    openEvents,
	"looking": func() (events, error) { return events{}, errNone },
}

func each(t *testing.T, run func(t *testing.T, w Watcher)) {
	for _, way := range []string{"told", "looking"} {
		t.Run(way, func(t *testing.T) {
			t.Parallel()
			run(t, Watcher{Dir: t.TempDir(), Poll: quick / 3, open: ways[way]})
		})
	}
}

// Clips come, in folders that come too, change and go; each is told once it is at rest.
func TestClipsComeAndGo(t *testing.T) {
	each(t, func(t *testing.T, w Watcher) {
		f := watchFolder(t, w)
		f.quiet()
		f.write("b.mov", "1")
		f.next("b.mov")
		f.quiet()
		f.write("day/roll/a.mov", "1")
		f.next("b.mov", "day/roll/a.mov")
		f.write("b.mov", "longer")
		f.next("b.mov", "day/roll/a.mov")
		if err := os.RemoveAll(filepath.Join(f.dir, "day")); err != nil {
			t.Fatal(err)
		}
		f.next("b.mov")
		f.write("notes.pdf", "1") // is skipped, and told
		f.next("b.mov")
		if err := os.Remove(filepath.Join(f.dir, "b.mov")); err != nil {
			t.Fatal(err)
		}
		f.quiet()
		if !f.says("the report stays") {
			t.Error("it is not said that no clip is left")
		}
		f.write("b.mov", "longer")
		f.next("b.mov")
	})
}

// A clip that is being copied waits, and holds up no other.
func TestGrowingClipWaits(t *testing.T) {
	each(t, func(t *testing.T, w Watcher) {
		f := watchFolder(t, w)
		slow, err := os.Create(filepath.Join(f.dir, "a.mov"))
		if err != nil {
			t.Fatal(err)
		}
		f.write("b.mov", "1")
		for range 12 {
			if _, err := slow.WriteString("more"); err != nil {
				t.Fatal(err)
			}
			time.Sleep(quick / 4)
		}
		f.next("b.mov")
		f.quiet() // nothing is written, and yet it is open
		if err := slow.Close(); err != nil {
			t.Fatal(err)
		}
		f.next("a.mov", "b.mov")
	})
}

// A card's XML that comes after its clip makes the clip new.
func TestSidecarCounts(t *testing.T) {
	t.Parallel()
	f := watchFolder(t, Watcher{Dir: t.TempDir()})
	f.write("C0001.MP4", "1")
	f.next("C0001.MP4")
	f.write("C0001M01.XML", "<a/>")
	f.next("C0001.MP4")
	f.quiet()
}

// Where the system tells of no changes that is said, and clips are found all the same.
func TestFallsBack(t *testing.T) {
	t.Run("at the start", func(t *testing.T) {
		t.Parallel()
		f := watchFolder(t, Watcher{Dir: t.TempDir(), Poll: quick, open: ways["looking"]})
		f.write("a.mov", "1")
		f.next("a.mov")
		if !f.says(errNone.Error()) || !f.says("every "+quick.String()) {
			t.Errorf("said %q", f.said)
		}
	})
	t.Run("later", func(t *testing.T) {
		t.Parallel()
		closed := func() (events, error) {
			e, err := openEvents()
			if err == nil {
				err = e.Close() // nothing can be added to it
			}
			return e, err
		}
		f := watchFolder(t, Watcher{Dir: t.TempDir(), Poll: quick, open: closed})
		f.write("a.mov", "1")
		f.next("a.mov")
		if !f.says("the system tells of no more changes") {
			t.Errorf("said %q", f.said)
		}
	})
}

// A folder that is away for a while, as of a card that is changed, is watched again.
func TestFolderAway(t *testing.T) {
	each(t, func(t *testing.T, w Watcher) {
		w.Dir = filepath.Join(w.Dir, "card")
		f := watchFolder(t, w)
		f.write("a.mov", "1")
		f.next("a.mov")
		if err := os.RemoveAll(f.dir); err != nil {
			t.Fatal(err)
		}
		f.quiet()
		f.write("b.mov", "1")
		f.next("b.mov")
	})
}

// An error of a visit ends the watch.
func TestVisitFails(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "a.mov"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	w := Watcher{Dir: dir, Settle: time.Millisecond, Say: func(string) {}}
	if err := w.Each(t.Context(), func(card.Listing) error { return errNone }); !errors.Is(err, errNone) {
		t.Error(err)
	}
}
