package container

import (
	"math"
	"testing"
	"unicode/utf16"

	"stopledger/decode/metadata/build"
)

// Well-known types 1, 2, 21 to 24 and 65 to 78: QuickTime File Format Specification, "Well-known
// types" (24 and up from memory).
func TestTypedValues(t *testing.T) {
	f32, f64 := math.Float32bits(172.8), math.Float64bits(-172.8)
	for _, c := range []struct {
		kind   uint32
		bytes  []byte
		text   string
		number float64
		bad    bool
	}{
		{kind: 1, bytes: []byte("LOG-C\x00"), text: "LOG-C"},
		{kind: 0, bytes: []byte("LOG-C"), text: "LOG-C"},
		{kind: 1, bytes: []byte{0xFF, 0xC3}, bad: true},
		{kind: 2, bytes: build.Unhex("004C 00F6 0047"), text: "LöG"},
		{kind: 2, bytes: build.Unhex("FEFF 004C"), text: "L"},
		{kind: 2, bytes: build.Unhex("FFFE 4C00"), text: "L"},
		{kind: 2, bytes: build.Unhex("D83C DFA5 00"), text: "🎥"},
		{kind: 21, bytes: build.Unhex("FF"), number: -1},
		{kind: 21, bytes: build.Unhex("0320"), number: 800},
		{kind: 21, bytes: build.Unhex("FFFF38"), number: -200},
		{kind: 21, bytes: build.Unhex("80000000"), number: -1 << 31},
		{kind: 22, bytes: build.Unhex("FF"), number: 255},
		{kind: 22, bytes: build.Unhex("FFFFFF"), number: 1<<24 - 1},
		{kind: 22, bytes: build.Unhex("80000000"), number: 1 << 31},
		{kind: 23, bytes: build.U32(int(f32)), number: float64(float32(172.8))},
		{kind: 24, bytes: build.U64(int(f64)), number: -172.8},
		{kind: 65, bytes: build.Unhex("80"), number: -128},
		{kind: 66, bytes: build.Unhex("FED4"), number: -300},
		{kind: 67, bytes: build.Unhex("FFFFFED4"), number: -300},
		{kind: 74, bytes: build.Unhex("FFFFFFFFFFFFFED4"), number: -300},
		{kind: 75, bytes: build.Unhex("80"), number: 128},
		{kind: 76, bytes: build.Unhex("FED4"), number: 65236},
		{kind: 77, bytes: build.Unhex("FFFFFED4"), number: 4294966996},
		{kind: 78, bytes: build.Unhex("0000000100000000"), number: 1 << 32},
		{kind: 23, bytes: build.Unhex("7FC00000"), bad: true},
		{kind: 24, bytes: build.Unhex("7FF0000000000000"), bad: true},
		{kind: 23, bytes: build.Unhex("0000"), bad: true},
		{kind: 66, bytes: build.Unhex("00"), bad: true},
		{kind: 21, bytes: nil, bad: true},
		{kind: 13, bytes: build.Unhex("FFD8"), bad: true},
	} {
		v, err := typed(c.kind, c.bytes)
		switch {
		case (err != nil) != c.bad:
			t.Errorf("type %d, % X: error %v", c.kind, c.bytes, err)
		case c.bad:
		case c.text != "" && v.Text != c.text, c.text == "" && (!v.Numeric || v.Number != c.number):
			t.Errorf("type %d, % X: got %+v, want %q %v", c.kind, c.bytes, v, c.text, c.number)
		}
	}
}

func TestUTF16IsThatOfTheStandardLibrary(t *testing.T) {
	const want = "Prüfung 17 µm 🎬"
	var p []byte
	for _, u := range utf16.Encode([]rune(want)) {
		p = append(p, build.U16(int(u))...)
	}
	if v, err := typed(2, p); err != nil || v.Text != want {
		t.Errorf("got %q, %v", v.Text, err)
	}
}
