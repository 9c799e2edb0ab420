package adjust

import (
	"bytes"
	"encoding/xml"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"stopledger/curve"
	"stopledger/curve/lut"
)

// FuzzWrittenBack: whatever the change and whatever its clip is called, CLF and cube are read back by the
// readers of curve/lut and do what Apply says; a CDL is XML with the texts it was given.
func FuzzWrittenBack(f *testing.F) {
	f.Add(uint8(1), true, false, -1.65, "A001_C003.mov")
	f.Add(uint8(5), false, true, 2.0, "a \"b\" <c> & d.mov")
	f.Add(uint8(14), true, true, -3.3, "\x00\xff\nLUT_1D_SIZE 2\n0 0 0\n]]>\u2028")
	f.Add(uint8(12), false, false, 0.001, strings.Repeat("long name ", 90)+strings.Repeat("x", 700))
	all := curve.All()
	f.Fuzz(func(t *testing.T, which uint8, full, video bool, stops float64, name string) {
		c := Change{Reading: curve.Reading{Curve: all[int(which)%len(all)], Bits: 10}, Domain: curve.CurveDomain}
		if !(math.Abs(stops) <= 4) || !c.Reading.Curve.Recorded {
			return
		}
		if c.Stops = curve.Stops(stops); full {
			c.Reading.Range = curve.Full
		}
		if video {
			c.Domain = curve.VideoDomain
		}
		l := Label{ID: "id", Name: name, About: []string{"Clip " + name, ""}, Values: name}
		exact := Correction(c.table(4))
		if k, ok := c.logNodes(); ok {
			exact = k
		}
		for ending, k := range map[string]Correction{".clf": exact, ".cube": c.cube(64)} {
			text := bytesOf(t, k, l)
			path := filepath.Join(t.TempDir(), "a"+ending)
			if err := os.WriteFile(path, text, 0o644); err != nil {
				t.Fatal(err)
			}
			read, err := lut.LoadTransform(path)
			if err != nil {
				t.Fatalf("%s: %v", ending, err)
			}
			for v := -0.07; v < 1.1; v += 0.0137 {
				want := k.Apply(v)
				for ch, got := range read.RGB([3]float64{v, v, v}) {
					if !(math.Abs(got-want) <= 1e-6*max(1, math.Abs(want))) {
						t.Fatalf("%s: channel %d of %g reads %g, want %g", ending, ch, v, got, want)
					}
				}
			}
			longest := 0
			for _, line := range strings.Split(string(text), "\n") {
				longest = max(longest, len(line))
			}
			if ending == ".cube" && longest > cubeLine+12 || !utf8.Valid(text) {
				t.Errorf("%s has a line of %d bytes, or is no UTF-8", ending, longest)
			}
		}
		var decision struct {
			Description []string
			Input       string `xml:"InputDescription"`
			Offset      string `xml:"SOPNode>Offset"`
		}
		d := c.CDL(0)
		if err := xml.Unmarshal(bytesOf(t, d, l), &decision); err != nil {
			t.Fatal(err)
		}
		if len(decision.Description) != 2 || decision.Offset != strings.Repeat(" "+fixed(d.Offset, 6), 3)[1:] {
			t.Errorf("%+v", decision)
		}
	})
}

func bytesOf(t *testing.T, k Correction, l Label) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := k.Write(&b, l); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A writer that fails is told, by every format.
func TestWritersThatFail(t *testing.T) {
	c := sLog3Down(-1)
	for _, k := range []Correction{c.CLF(), c.table(4), c.Cube(), c.CDL(0)} {
		if err := k.Write(full{}, label("a")); err == nil {
			t.Errorf("%T: no error", k)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

var errFull = bytes.ErrTooLarge
