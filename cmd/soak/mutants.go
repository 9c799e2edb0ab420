//go:build linux

package main

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"stopledger/cmd/internal/disturb"
)

// batchSize is how many damaged clips a run has, beside the undamaged ones.
const batchSize = 250

// tryMutants measures damaged clips, many in a run, with the undamaged ones among them: each is measured
// or named with a reason, and the entries of the undamaged ones are those of a run without damage.
func tryMutants(s *soak, t *tally) error {
	kinds, givenUp := map[string]int{}, 0
	want, err := s.batch(t, nil)
	if err != nil {
		return err
	}
	if len(want.clips) != len(s.shots) {
		return fmt.Errorf("of %d clips without damage %d are measured: %v", len(s.shots), len(want.clips), want.reasons)
	}
	for from := 0; from < s.mutants; from += batchSize {
		var seeds []uint64
		for i := from; i < min(from+batchSize, s.mutants); i++ {
			seeds = append(seeds, s.seed+uint64(i))
		}
		got, err := s.batch(t, seeds)
		if err != nil {
			return err
		}
		for _, seed := range seeds {
			m, kind := s.mutant(seed)
			kinds[kind]++
			t.tried++
			path := "day/" + m.name
			got.count(t, path, fmt.Sprintf("seed %d, %s of %s", seed, kind, m.name))
			if strings.Contains(got.reasons[path], "did not get on") {
				givenUp++
			}
		}
		for path, entry := range want.clips {
			if got.clips[path] != entry {
				t.fault(&t.differ, "seeds %d to %d: %s is not as without them", seeds[0], seeds[len(seeds)-1], path)
			}
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(kinds)) {
		t.note("%s %d", kind, kinds[kind])
	}
	t.note("given up for not getting on %d", givenUp)
	return nil
}

// mutant is a damaged clip: its seed says of which, and how.
func (s *soak) mutant(seed uint64) (m clip, kind string) {
	n := uint64(len(s.shots))
	file, other := s.shots[seed%n], s.shots[seed/n%n]
	m.data, kind = disturb.Mangled(file.data, other.data, seed)
	m.name = fmt.Sprintf("seed%d-%s", seed, file.name)
	return m, kind
}

// batch measures the undamaged clips and some damaged ones in one run, each named by itself.
func (s *soak) batch(t *tally, seeds []uint64) (document, error) {
	folder := filepath.Join(s.dir, "batch")
	defer os.RemoveAll(folder)
	clips, about := slices.Clone(s.shots), "without damage"
	for _, seed := range seeds {
		m, _ := s.mutant(seed)
		clips = append(clips, m)
		about = fmt.Sprintf("seeds %d to %d", seeds[0], seed)
	}
	if err := put(filepath.Join(folder, "day"), clips...); err != nil {
		return document{}, err
	}
	args := []string{"audit", "--quiet", "--curve", "slog3", "--jobs", "2", "--no-pictures", "--out", "report"}
	for _, c := range clips {
		args = append(args, "day/"+c.name)
	}
	e := s.end(patience+time.Duration(len(seeds))*10*time.Second, folder, args...)
	if !t.checkEnding(e, about) {
		return document{}, nil
	}
	return readDocument(filepath.Join(folder, "report"))
}
