package curve

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// A checkValue is a row of testdata/curve_values.csv: what an outside source, named in the
// row, gives for a curve. A field it does not give is NaN.
type checkValue struct {
	curve                string
	linear, n, code      float64
	source, kind, family string // family: published table, colour 0.4.6, OpenColorIO file
}

func readValues(t *testing.T) []checkValue {
	f, err := os.Open("testdata/curve_values.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 {
		if s == "" {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	var vs []checkValue
	for _, r := range rows[1:] {
		v := checkValue{r[0], number(r[1]), number(r[2]), number(r[3]), r[4], r[5], ""}
		switch {
		case v.kind == "published table":
			v.family = "published table"
		case strings.HasPrefix(v.source, "colour-science"):
			v.family = "colour 0.4.6"
		case strings.HasPrefix(v.source, "OpenColorIO"):
			v.family = "OpenColorIO file"
		default:
			t.Fatalf("row of unknown source %q", v.source)
		}
		vs = append(vs, v)
	}
	return vs
}

// subject returns the curve a row is about and the reflectance its linear column stands for.
func (v checkValue) subject(t *testing.T) (*Curve, float64) {
	name, x := v.curve, v.linear
	switch name {
	case "HLG OETF (E)": // E itself; E of reference white from the row's own scale
		name, x = "HLG", x/0.26496256
	case "PQ (L/10000)": // display light; grey at 26 cd/m2
		name, x = "PQ", x*10000/26*0.18
	case "gamma 2.4 (BT.1886)":
		name = "BT.1886"
	case "Cineon": // counted from the 90 % card
		x *= 0.9
	}
	c, err := Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c, x
}

// tolerance of n for a row.
func (v checkValue) tolerance() float64 {
	switch {
	case v.family == "published table" && v.curve == "LogC4":
		return printedLevel
	case v.family == "published table", strings.HasPrefix(v.curve, "LogC3"):
		return sixDigitSignal
	case v.family == "OpenColorIO file" && strings.HasPrefix(v.curve, "PQ"):
		return liveSignalPQ
	case v.family == "OpenColorIO file", strings.HasPrefix(v.curve, "HLG"): // eight-digit scale
		return float32Signal
	case v.curve == "V-Log":
		return stepOfVLog
	}
	return ninthDecimal
}

func checkValues(t *testing.T, said agreement) {
	rows := map[string]int{}
	for _, v := range readValues(t) {
		c, x := v.subject(t)
		name, _, _ := strings.Cut(c.Name, " EI")
		rows[name]++
		n := c.Encode(Light(x))
		if v.curve == "LogC3 EI1600" && v.n > shoulderFrom {
			// The library has the printed table, which leaves the shoulder out.
			n = plainLogC3(c).Encode(x)
		}
		if !math.IsNaN(v.n) {
			difference := math.Abs(n - v.n)
			said.add(name, v.family, "n", difference)
			if !(difference <= v.tolerance()) {
				t.Errorf("%s at %g: n = %.9f, want %.9f, %.2g of the tolerance (%s)",
					v.curve, x, n, v.n, difference/v.tolerance(), v.source)
			}
		}
		if !math.IsNaN(v.code) {
			checkCode(t, v, c, n, said)
		}
	}
	for _, c := range All() {
		if rows[c.Name] == 0 && c.Name != "Linear" {
			t.Errorf("%s: no check values", c.Name)
		}
	}
}

func checkCode(t *testing.T, v checkValue, c *Curve, n float64, said agreement) {
	r := Reading{Curve: c, Range: Narrow, Bits: 10}
	if c.Name == "sRGB" {
		r.Range = Full
	}
	tolerance := 1100*v.tolerance() + 6e-5 // the same in codes; four decimals printed
	if v.family == "published table" {
		tolerance = printedCode
	}
	got := float64(r.Recorded(n))
	if v.family == "published table" {
		name, _, _ := strings.Cut(c.Name, " EI")
		said.add(name, "published codes", "code", math.Abs(got-v.code))
	}
	if !(math.Abs(got-v.code) <= tolerance) {
		t.Errorf("%s at %g: code %.4f, want %.4f (%s)", v.curve, v.linear, got, v.code, v.source)
	}
}

// plainLogC3 is a LogC3 without its shoulder.
func plainLogC3(c *Curve) Shape {
	for _, s := range spans(c.shape) {
		if b, ok := s.Shape.(shoulder); ok {
			return b.log
		}
	}
	return c.shape
}
