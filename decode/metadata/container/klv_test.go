package container

import (
	"testing"

	"stopledger/decode/metadata/build"
)

// Forms of BER length: SMPTE ST 336, 4.3.
func TestBERLength(t *testing.T) {
	for _, c := range []struct {
		bytes  string
		length int64
		used   int
		bad    bool
	}{
		{bytes: "06", length: 6, used: 1},
		{bytes: "7F", length: 127, used: 1},
		{bytes: "81 80", length: 128, used: 2},
		{bytes: "83 00 00 9A", length: 154, used: 4},
		{bytes: "84 FF FF FF FF", length: 1<<32 - 1, used: 5},
		{bytes: "88 00 00 00 01 00 00 00 00", length: 1 << 32, used: 9},
		{bytes: "88 FF FF FF FF FF FF FF FF", bad: true},
		{bytes: "83 00 00", bad: true},
		{bytes: "80", bad: true},
		{bytes: "89 00 00 00 00 00 00 00 00 01", bad: true},
		{bytes: "", bad: true},
	} {
		length, used, err := berLength(build.Unhex(c.bytes))
		if (err != nil) != c.bad || length != c.length || used != c.used {
			t.Errorf("%q: got %d, %d, %v, want %d, %d", c.bytes, length, used, err, c.length, c.used)
		}
	}
}

func TestItemsEndAtPaddingOrDamage(t *testing.T) {
	good := build.Item(0x8000, build.U16(7))
	for _, c := range []struct {
		name string
		data []byte
		bad  bool
	}{
		{"zeros behind", build.Join(good, make([]byte, 9)), false},
		{"tag FFFF behind", build.Join(good, build.U16(0xFFFF), build.U16(2), build.U16(1)), false},
		{"three bytes behind", build.Join(good, []byte{0x81, 0x0B, 0}), false},
		{"length past the end", build.Join(good, build.U16(0x810B), build.U16(2), []byte{1}), true},
		{"the tag again", build.Join(good, build.Item(0x8000, build.U16(9))), false},
	} {
		it := Items{}
		err := it.Read(c.data)
		if v, ok := it.Unsigned(0x8000, 2); !ok || v != 7 || len(it) != 1 || (err != nil) != c.bad {
			t.Errorf("%s: got %v, error %v", c.name, it, err)
		}
	}
}
