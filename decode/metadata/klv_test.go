package metadata

import (
	"bytes"
	"strings"
	"testing"
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
		length, used, err := berLength(unhex(c.bytes))
		if (err != nil) != c.bad || length != c.length || used != c.used {
			t.Errorf("%q: got %d, %d, %v, want %d, %d", c.bytes, length, used, err, c.length, c.used)
		}
	}
}

func TestItemsEndAtPaddingOrDamage(t *testing.T) {
	good := item(0x8000, u16(7))
	for _, c := range []struct {
		name string
		data []byte
		bad  bool
	}{
		{"zeros behind", join(good, make([]byte, 9)), false},
		{"tag FFFF behind", join(good, u16(0xFFFF), u16(2), u16(1)), false},
		{"three bytes behind", join(good, []byte{0x81, 0x0B, 0}), false},
		{"length past the end", join(good, u16(0x810B), u16(2), []byte{1}), true},
		{"the tag again", join(good, item(0x8000, u16(9))), false},
	} {
		it := items{}
		err := it.read(c.data)
		if v, ok := it.unsigned(0x8000, 2); !ok || v != 7 || len(it) != 1 || (err != nil) != c.bad {
			t.Errorf("%s: got %v, error %v", c.name, it, err)
		}
	}
}

func TestSetsStopAtDamageAndKeepWhatWasRead(t *testing.T) {
	lens := klv(lensKey, item(0x8000, u16(0x8000)))
	camera := klv(cameraKey, item(0x810B, u16(800)))
	other := klv("060E2B34 02530101 0C020101 55010000", []byte{1, 2, 3})
	tooLong := join(unhex(cameraKey), unhex("84 FF FF FF FF"), item(0x810B, u16(800)))
	for _, c := range []struct {
		name     string
		data     []byte
		iso      bool
		problems int
	}{
		{"whole", join(lens, camera), true, 0},
		{"a set that is not known between", join(lens, other, camera), true, 0},
		{"padded", join(lens, camera, make([]byte, 100)), true, 0},
		{"a length past the end", join(lens, tooLong), false, 1},
		{"a key cut off", join(lens, camera[:9]), false, 0},
	} {
		f := frameFromSets(c.data, "test")
		if f.camera.IrisF == nil || *f.camera.IrisF != 16 {
			t.Errorf("%s: the set before is lost", c.name)
		}
		if (f.camera.ISO != nil) != c.iso || len(f.problems) != c.problems {
			t.Errorf("%s: ISO %v, problems %q", c.name, f.camera.ISO, f.problems)
		}
	}
}

// Short and long forms of a length give the same set.
func TestShortAndLongLengthsAgree(t *testing.T) {
	value := item(0x810B, u16(800))
	short := join(unhex(cameraKey), []byte{byte(len(value))}, value)
	long := klv(cameraKey, value)
	if bytes.Equal(short, long) {
		t.Fatal("the two forms are the same bytes")
	}
	for _, p := range [][]byte{short, long} {
		if f := frameFromSets(p, "test"); f.camera.ISO == nil || *f.camera.ISO != 800 {
			t.Errorf("% X: ISO %v", p, f.camera.ISO)
		}
	}
}

func TestRegisterVersionIsNotCompared(t *testing.T) {
	key := strings.Replace(cameraKey, "02530101", "0253010D", 1)
	if f := frameFromSets(klv(key, item(0x810B, u16(800))), "test"); f.camera.ISO == nil {
		t.Error("a key of another register version is not recognised")
	}
}
