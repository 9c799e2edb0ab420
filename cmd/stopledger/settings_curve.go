package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"stopledger/curve"
)

func (f *measureFlags) checkCurves(s *auditSettings) (err error) {
	if f.ei < 0 {
		return fmt.Errorf("--ei cannot be %d: it takes an exposure index such as 800", f.ei)
	}
	if !strings.EqualFold(f.curve, "auto") {
		if s.Curve, err = namedCurve("curve", f.curve, f.ei); err != nil {
			return err
		}
	}
	if f.assume == "" {
		return nil
	}
	if s.Curve != nil {
		return errors.New("--assume is for clips that name no curve; with --curve it has no use: leave one out")
	}
	if s.Assume, err = namedCurve("assume", f.assume, f.ei); err != nil {
		return err
	}
	return nil
}

// namedCurve finds a published curve, or reads the user's own from a file.
func namedCurve(flag, name string, ei int) (*curve.Curve, error) {
	c, err := findCurve(name, ei)
	if err != nil {
		return nil, fmt.Errorf("--%s: %w", flag, err)
	}
	return c, nil
}

func isFile(name string) bool {
	_, err := os.Stat(name)
	return err == nil || strings.ContainsRune(name, os.PathSeparator)
}
