//go:build linux

// Command soak tries what a day may bring and a program has to survive: clips with wrong bytes in them
// by the thousand, kills, clips that change under the reader, full disks, files without end, pipes, and
// frames as large as they come. It builds the program, makes small clips, and prints a line for each
// part with what came out. It exits with 1 where anything is lost, crashes, hangs or differs from an
// undisturbed run.
//
//	go run ./cmd/soak [-only mutants,kills] [-mutants N] [-seed N]
//
// Every fault is told with its seed; -only mutants -mutants 1 -seed N tries that mutant again.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A part tries one kind of disturbance.
type part struct {
	name string
	try  func(*soak, *tally) error
}

var parts = []part{
	{"mutants", tryMutants}, {"kills", tryKills}, {"swaps", trySwaps}, {"full", tryFull}, {"hangs", tryHangs},
	{"stills", tryStills},
}

var errFaults = errors.New("there are faults")

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "soak:", err)
		os.Exit(1)
	}
}

func run(args []string, out io.Writer) error {
	s := &soak{out: out}
	flags := flag.NewFlagSet("soak", flag.ContinueOnError)
	only := flags.String("only", "", "parts to run, with commas between them: mutants, kills, swaps, full, hangs, "+
		"stills; all without it")
	flags.IntVar(&s.mutants, "mutants", 10_000, "damaged clips")
	flags.Uint64Var(&s.seed, "seed", 50_000, "seed of the first damaged clip, and of all instants")
	if err := flags.Parse(args); err != nil {
		return err
	}
	chosen, err := partsNamed(*only)
	if err != nil {
		return err
	}
	if s.dir, err = os.MkdirTemp("", "soak"); err != nil {
		return err
	}
	defer os.RemoveAll(s.dir)
	if err := s.prepare(); err != nil {
		return err
	}
	return s.runParts(chosen)
}

// partsNamed returns parts by names with commas between them, all for "".
func partsNamed(names string) (chosen []part, err error) {
	if names == "" {
		return parts, nil
	}
	for _, name := range strings.Split(names, ",") {
		i := slices.IndexFunc(parts, func(p part) bool { return p.name == name })
		if i < 0 {
			return nil, fmt.Errorf("-only: there is no part %q", name)
		}
		chosen = append(chosen, parts[i])
	}
	return chosen, nil
}

// prepare builds the program and makes the clips.
func (s *soak) prepare() error {
	s.program = filepath.Join(s.dir, "stopledger")
	build := exec.Command("go", "build", "-o", s.program, "stopledger/cmd/stopledger")
	if said, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("the program cannot be built: %w: %s", err, said)
	}
	var err error
	s.shots, err = recordClips(filepath.Join(s.dir, "shots"))
	return err
}

func (s *soak) runParts(chosen []part) error {
	faults := 0
	for _, p := range chosen {
		began := time.Now()
		t := &tally{part: p.name, out: s.out}
		if err := p.try(s, t); err != nil {
			return fmt.Errorf("%s: %w", p.name, err)
		}
		if left := s.left(); len(left) > 0 {
			t.fault(&t.hung, "processes are left behind: %v", left)
		}
		fmt.Fprintf(s.out, "%s; %.0f s\n", t, time.Since(began).Seconds())
		faults += t.faults()
	}
	if faults > 0 {
		return errFaults
	}
	return nil
}
