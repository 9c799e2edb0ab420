//go:build linux

package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	"stopledger/decode/synth"
)

const swaps = 50

// swapArgs are the arguments of an audit of day/ that looks long at each clip.
var swapArgs = []string{"audit", "--quiet", "--curve", "slog3", "--region", cardRegion, "--every-frame", "--jobs", "2",
	"--no-pictures", "day", "--out"}

// A changing is a day whose clip changing.mkv becomes another file while it is read.
type changing struct {
	folder  string
	before  clip
	others  []clip              // that are not changed
	after   []clip              // another clip, and the same cut off
	entries map[string]bool     // what may be said of changing.mkv: whole, as one file or another
	want    map[string]string   // entries of the others
	reports map[string]document // of undisturbed runs, by the state of changing.mkv
	took    time.Duration       // undisturbed
}

// trySwaps replaces a clip by another, or cuts it off in place, at random instants of a run. What is said
// of it is what is true of one of the files, or that it changed; the others' entries stay; and the next run
// tells what one over the files as they are now tells.
func trySwaps(s *soak, t *tally) error {
	random := rand.New(rand.NewPCG(s.seed, 3))
	c, err := s.changingDay(t)
	if err != nil {
		return err
	}
	changed := 0
	for n := range swaps {
		about := fmt.Sprintf("seed %d, swap %d", s.seed, n)
		state := c.after[n%len(c.after)]
		if err := put(filepath.Join(c.folder, "day"), c.before); err != nil {
			return err
		}
		out := filepath.Join(c.folder, "report")
		if err := os.RemoveAll(out); err != nil {
			return err
		}
		e, err := s.swapped(c, state, n%2 == 1, time.Duration(random.Int64N(int64(c.took))))
		if err != nil {
			return err
		}
		t.tried++
		if t.checkEnding(e, about) && c.check(t, out, about) {
			changed++
		}
		if e := s.end(patience, c.folder, append(swapArgs, "report")...); t.checkEnding(e, about+", again") {
			c.checkAgain(t, out, state, about+", again")
		}
	}
	t.note("within %.1f s", c.took.Seconds())
	t.note("%d told as changed while measured", changed)
	return nil
}

const changingPath = "day/changing.mkv"

// changingDay records longer clips, and learns what undisturbed runs say of each state of one.
func (s *soak) changingDay(t *tally) (*changing, error) {
	c := &changing{folder: filepath.Join(s.dir, "swaps"), entries: map[string]bool{}, want: map[string]string{},
		reports: map[string]document{}}
	var long []clip
	for i := range 4 {
		path := filepath.Join(s.dir, "long.mkv")
		if err := recordClip(path, synth.Encoding{Codec: synth.FFV1}, uint64(10+i), 150); err != nil {
			return nil, err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		long = append(long, clip{fmt.Sprint("other", string(rune('a'+i)), ".mkv"), data})
	}
	c.others, c.before = long[2:], clip{"changing.mkv", long[0].data}
	c.after = []clip{{"changing.mkv", long[1].data}, {"changing.mkv", long[0].data[:len(long[0].data)*2/3]}}
	for _, state := range append([]clip{c.before}, c.after...) {
		if err := put(filepath.Join(c.folder, "day"), append(c.others, state)...); err != nil {
			return nil, err
		}
		e := s.end(patience, c.folder, append(swapArgs, "whole")...)
		if !t.checkEnding(e, "undisturbed") {
			return nil, fmt.Errorf("undisturbed: exit code %d: %s", e.code, e.stderr)
		}
		doc, err := readDocument(filepath.Join(c.folder, "whole"))
		if err != nil {
			return nil, err
		}
		c.took = e.took
		c.reports[string(state.data)] = doc
		c.entries[doc.clips[changingPath]] = true
		for _, o := range c.others {
			c.want["day/"+o.name] = doc.clips["day/"+o.name]
		}
		if err := os.RemoveAll(filepath.Join(c.folder, "whole")); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// swapped runs while the clip becomes another: by a new file of its name, or cut off in place.
func (s *soak) swapped(c *changing, state clip, inPlace bool, after time.Duration) (ending, error) {
	path := filepath.Join(c.folder, changingPath)
	done := make(chan error, 1)
	ctx, cancel := context.WithTimeout(context.Background(), after)
	defer cancel()
	go func() {
		<-ctx.Done()
		if inPlace {
			done <- os.Truncate(path, int64(len(state.data)))
			return
		}
		err := os.WriteFile(path+".new", state.data, 0o644)
		if err == nil {
			err = os.Rename(path+".new", path)
		}
		done <- err
	}()
	e := s.end(patience, c.folder, append(swapArgs, "report")...)
	return e, <-done
}

// check counts what is wrong after a swap; it tells whether the clip was told as changed.
func (c *changing) check(t *tally, out, about string) bool {
	doc, err := readDocument(out)
	if err != nil {
		t.fault(&t.lost, "%s: %v", about, err)
		return false
	}
	doc.count(t, changingPath, about)
	if entry := doc.clips[changingPath]; entry != "" && !c.entries[entry] {
		t.fault(&t.differ, "%s: what is said is true of neither file", about)
	}
	for path, entry := range c.want {
		if doc.clips[path] != entry {
			t.fault(&t.differ, "%s: %s is not as of an undisturbed run", about, path)
		}
	}
	return strings.Contains(doc.reasons[changingPath], "changed while it was measured")
}

// checkAgain counts what the next run says otherwise than one over the files as they are now.
func (c *changing) checkAgain(t *tally, out string, state clip, about string) {
	doc, err := readDocument(out)
	if err != nil {
		t.fault(&t.lost, "%s: %v", about, err)
		return
	}
	want := c.reports[string(state.data)]
	if doc.clips[changingPath] != want.clips[changingPath] || doc.reasons[changingPath] != want.reasons[changingPath] {
		t.fault(&t.differ, "%s: what is said is not true of the file that is there now: %.200q %.200q", about,
			doc.clips[changingPath], doc.reasons[changingPath])
	}
}
