//go:build linux

package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"stopledger/cmd/internal/disturb"
	"stopledger/report/ledger"
)

const kills = 200

// dayArgs are the arguments of an audit of day/, but for its report's folder.
var dayArgs = []string{"audit", "--quiet", "--curve", "slog3", "--region", cardRegion, "--hold-grey", "--jobs", "2",
	"day", "--out"}

// day makes a folder of some clips, one of them no clip, and runs over it undisturbed: its report is
// what disturbed runs have to end with.
func (s *soak) day(name string) (folder string, want disturb.Report, took time.Duration, err error) {
	folder = filepath.Join(s.dir, name)
	clips := append([]clip{{"none.mov", []byte("no clip")}}, s.shots[:4]...)
	if err := put(filepath.Join(folder, "day"), clips...); err != nil {
		return "", nil, 0, err
	}
	e := s.end(patience, folder, append(dayArgs, "whole")...)
	if e.code != exitSomeFailed {
		return "", nil, 0, fmt.Errorf("undisturbed: exit code %d: %s", e.code, e.stderr)
	}
	want, err = disturb.ReadReport(filepath.Join(folder, "whole"))
	return folder, want.WithoutTimes(), e.took, err
}

// tryKills kills runs at random instants, while clips are measured, pictures taken and pages written. No
// worker outlives its run, and the next run ends with the report of an undisturbed one, to the byte.
func tryKills(s *soak, t *tally) error {
	random := rand.New(rand.NewPCG(s.seed, 2))
	folder, want, took, err := s.day("kills")
	if err != nil {
		return err
	}
	late, resumed := 0, 0
	for n := range kills {
		about := fmt.Sprintf("seed %d, kill %d", s.seed, n)
		killed, err := s.killed(folder, time.Duration(random.Int64N(int64(took))))
		if err != nil {
			return err
		}
		if t.tried++; !killed {
			late++
		}
		if left := s.left(); len(left) > 0 {
			t.fault(&t.hung, "%s: workers outlive it: %v", about, left)
		}
		if n%2 == 1 { // the next one is killed while it goes on
			continue
		}
		resumed++
		if e := s.end(patience, folder, append(dayArgs, "killed")...); t.checkEnding(e, about) {
			t.compare(filepath.Join(folder, "killed"), want, about)
		}
		if random.IntN(3) > 0 {
			if err := os.RemoveAll(filepath.Join(folder, "killed")); err != nil {
				return err
			}
		}
	}
	t.note("within %.1f s, %d of them too late", took.Seconds(), late)
	t.note("%d runs that went on compared", resumed)
	return nil
}

// killed begins a run and kills it after a while; false where it ended before.
func (s *soak) killed(folder string, after time.Duration) (bool, error) {
	ctx, cancel := context.WithTimeout(context.Background(), after)
	defer cancel()
	c := s.call(ctx, folder, append(dayArgs, "killed")...)
	if err := c.Start(); err != nil {
		return false, err
	}
	_ = c.Wait()
	return !c.ProcessState.Exited(), nil
}

// compare counts the files of a report that are not as wanted.
func (t *tally) compare(dir string, want disturb.Report, about string) {
	got, err := disturb.ReadReport(dir)
	if err != nil {
		t.fault(&t.lost, "%s: %v", about, err)
		return
	}
	if got[ledger.FileName] == "" {
		t.fault(&t.lost, "%s: there is no ledger", about)
	}
	for _, told := range got.WithoutTimes().Differences(want) {
		t.fault(&t.differ, "%s: %s", about, told)
	}
}
