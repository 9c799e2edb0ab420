package text

import (
	"math"
	"testing"

	"stopledger/curve"
)

func TestNumbers(t *testing.T) {
	for _, test := range []struct{ got, want string }{
		{Number(31.449, 1, " dB"), "31.4 dB"}, {Number(-0.04, 1, ""), "0.0"}, {Number(math.NaN(), 1, " dB"), curve.Absent},
		{Signed(1.0, 0, ""), "+1"}, {Signed(-0.04, 1, " stops"), "+0.0 stops"}, {Signed(-1.25, 2, ""), "-1.25"},
		{Signed(math.Inf(1), 2, ""), curve.Absent},
		{Plain(23.976024), "23.976"}, {Plain(25.0), "25"}, {Plain(1e-7), "1e-07"},
		{Plural(1, "clip"), "1 clip"}, {Plural(0, "clip"), "0 clips"}, {Plural(2, "clip"), "2 clips"},
		{YesNo(true), "yes"}, {YesNo(false), "no"},
		{Scientific(3.24e-5), "3.2 × 10⁻⁵"}, {Scientific(1.5e12), "1.5 × 10¹²"}, {Scientific(0.0), "0"},
		{Scientific(0.18), "0.18"},
		{Scientific(12.0), "12"}, {Scientific(math.NaN()), curve.Absent}, {Raised(-1203), "⁻¹²⁰³"},
	} {
		if test.got != test.want {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

func TestTypeset(t *testing.T) {
	for text, want := range map[string]string{
		"≤-5.6 stops": "≤−5.6\u00a0stops",
		"-4 stops":    "−4\u00a0stops", "at -4 stops (-0.5 dB), 12 %": "at −4\u00a0stops (−0.5\u00a0dB), 12\u00a0%",
		"S-Log3 2-3": "S-Log3 2-3", "3 seconds": "3 seconds", "3.4 s": "3.4\u00a0s", "": "",
	} {
		if got := Typeset(text); got != want {
			t.Errorf("%q is set %q, want %q", text, got, want)
		}
	}
}
