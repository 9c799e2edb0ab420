package metadata

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/curve/lut"
)

func curveNamed(t testing.TB, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Every curve that metadata may name, and every one that an error offers, is found by that name.
func TestNamesOfIdentificationAreFound(t *testing.T) {
	names := append(Curves(), likelyCurves(Record{})...)
	for _, c := range curve.All() {
		names = append(names, curve.Fold(c.Name))
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

// ownCopy returns the user's own copy of a published curve, in two columns.
func ownCopy(t *testing.T, name string) *curve.Curve {
	t.Helper()
	r := curve.Reading{Curve: curveNamed(t, name), Bits: 10}
	var table strings.Builder
	for stops := curve.Stops(-10); stops <= 6; stops += 0.25 {
		fmt.Fprintf(&table, "%.9f %.3f\n", stops.Light(), r.CodeOf(stops.Light()))
	}
	path := filepath.Join(t.TempDir(), "mine.txt")
	if err := os.WriteFile(path, []byte(table.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	c, err := lut.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestSpeaksAgainst(t *testing.T) {
	names := func(name string) Claim { return Claim{Kind: KindCurve, Curve: name} }
	at := func(ei Setting) Claim {
		c := names("LogC3")
		c.EI = &ei
		return c
	}
	open := Claim{Kind: KindOpen, Among: []string{"LogC3", "LogC4"}}
	display := Claim{Kind: KindDisplay}
	for _, c := range []struct {
		about string
		claim Claim
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
		{"not understood", Claim{Kind: KindUnknown}, curveNamed(t, "slog3"), false},
		{"own copy", names("S-Log3"), ownCopy(t, "slog3"), false},
		{"own copy of another", names("V-Log"), ownCopy(t, "slog3"), true},
		{"own copy, some log curve", open, ownCopy(t, "slog3"), false},
		{"own copy, not log", display, ownCopy(t, "slog3"), true},
	} {
		if got := speaksAgainst(c.claim, c.curve); got != c.want {
			t.Errorf("%s (%s, %s): %v", c.about, c.claim.Curve, c.curve.Name, got)
		}
	}
}

// What a clip says, or is called, is printed in one line without a control character.
func TestSettleErrorIsOneLine(t *testing.T) {
	rec := Record{Unknown: []string{"key: \x1b[31mred\nline"}}
	_, err := Settle(Stream{Path: "a\nb.mov", Bits: 10}, rec, ReadAs{})
	if err == nil || strings.ContainsAny(err.Error(), "\n\x1b") || !strings.HasPrefix(err.Error(), `"a\nb.mov": `) {
		t.Errorf("%v", err)
	}
	if _, ok := err.(*SettleError); !ok {
		t.Errorf("%T", err)
	}
	for s, want := range map[string]string{
		"plain, \"quoted\" ü": "plain, \"quoted\" ü", "a\x1b[2Jb": `a\x1b[2Jb`,
		"tab\there \"q\"": `tab\there "q"`, "\xff": `\xff`,
	} {
		if got := Printable(s); got != want {
			t.Errorf("%q: %s, want %s", s, got, want)
		}
	}
}
