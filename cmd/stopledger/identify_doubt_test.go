package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/acquisition"
)

// Every curve that metadata may name, and every one that an error offers, is found by that name.
func TestNamesOfIdentificationAreFound(t *testing.T) {
	names := append(acquisition.Curves(), likelyCurves(acquisition.Record{})...)
	for _, c := range curve.All() {
		names = append(names, asTyped(c.Name))
	}
	for _, m := range makers {
		names = append(names, m.curves...)
	}
	for _, name := range names {
		if _, err := curve.Find(name); err != nil {
			t.Error(err)
		}
	}
}

// No two recorded curves count as one by their codes.
func TestCurvesDifferByTheirCodes(t *testing.T) {
	all := curve.All()
	for i, a := range all {
		for j, b := range all {
			if same := sameCodes(a, b); same != (i == j) && a.Recorded && b.Recorded {
				t.Errorf("%s and %s: the same is %v", a.Name, b.Name, same)
			}
		}
	}
}

func TestContradicts(t *testing.T) {
	// The user's own copies of published curves, in two columns.
	own := func(name string) *curve.Curve {
		published := curveNamed(t, name)
		var table strings.Builder
		for stops := -10.0; stops <= 6; stops += 0.25 {
			fmt.Fprintf(&table, "%.9f %.3f\n", curve.FromStops(stops), curve.Reading{Curve: published, Bits: 10}.CodeOf(curve.FromStops(stops)))
		}
		path := filepath.Join(t.TempDir(), "mine.txt")
		mustWrite(t, path, []byte(table.String()))
		c, err := curve.Load(path)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	names := func(name string) acquisition.Claim {
		return acquisition.Claim{Kind: acquisition.KindCurve, Curve: name}
	}
	at := func(ei float64) acquisition.Claim {
		c := names("LogC3")
		c.EI = &ei
		return c
	}
	open := acquisition.Claim{Kind: acquisition.KindOpen, Among: []string{"LogC3", "LogC4"}}
	display := acquisition.Claim{Kind: acquisition.KindDisplay}
	for _, c := range []struct {
		about string
		claim acquisition.Claim
		curve *curve.Curve
		want  bool
	}{
		{"the same", names("S-Log3"), curveNamed(t, "slog3"), false},
		{"another", names("S-Log2"), curveNamed(t, "slog3"), true},
		{"another whose name begins alike", names("Canon Log"), curveNamed(t, "clog3"), true},
		{"another whose name begins alike", names("F-Log"), curveNamed(t, "flog2"), true},
		{"no index said", names("LogC3"), curveNamed(t, "logc3ei1600"), false},
		{"the index said", at(1600), curveNamed(t, "logc3ei1600"), false},
		{"another index", at(800), curveNamed(t, "logc3ei1600"), true},
		{"an index that is not published", at(801), curveNamed(t, "logc3"), true},
		{"one of some", open, curveNamed(t, "logc4"), false},
		{"none of some", open, curveNamed(t, "slog3"), true},
		{"not log", display, curveNamed(t, "slog3"), true},
		{"not log, read as BT.709", display, curveNamed(t, "bt709"), false},
		{"not understood", acquisition.Claim{Kind: acquisition.KindUnknown}, curveNamed(t, "slog3"), false},
		{"own copy", names("S-Log3"), own("slog3"), false},
		{"own copy of another", names("V-Log"), own("slog3"), true},
		{"own copy, some log curve", open, own("slog3"), false},
		{"own copy, not log", display, own("slog3"), true},
	} {
		if got := contradicts(c.claim, c.curve); got != c.want {
			t.Errorf("%s (%s, %s): %v", c.about, c.claim.Curve, c.curve.Name, got)
		}
	}
}

// A clip whose bytes cannot be looked at keeps what its stream says.
func TestUnreadableMetadata(t *testing.T) {
	info := decode.Info{Path: "gone.mov", Container: "mov", Transfer: "arib-std-b67", Bits: 10}
	rec := recordOf(filepath.Join(t.TempDir(), "gone.mov"), info)
	w, err := readClip(info, rec, auditSettings{})
	if err != nil || w.reading.Curve.Name != "HLG" || len(w.doubts) != 1 || w.doubts[0].ID != "metadata-damaged" {
		t.Errorf("%+v, %v", w, err)
	}
	info.Transfer = ""
	_, err = readClip(info, recordOf(filepath.Join(t.TempDir(), "gone.mov"), info), auditSettings{})
	if err == nil || !strings.Contains(err.Error(), "could not be read") || !strings.Contains(err.Error(), "--curve") {
		t.Error(err)
	}
}
