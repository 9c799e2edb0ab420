package metadata

import (
	"bytes"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
)

func TestSetsStopAtDamageAndKeepWhatWasRead(t *testing.T) {
	lens := build.KLV(build.LensKey, build.Item(0x8000, build.U16(0x8000)))
	camera := build.KLV(build.CameraKey, build.Item(0x810B, build.U16(800)))
	other := build.KLV("060E2B34 02530101 0C020101 55010000", []byte{1, 2, 3})
	tooLong := build.Join(build.Unhex(build.CameraKey), build.Unhex("84 FF FF FF FF"), build.Item(0x810B, build.U16(800)))
	for _, c := range []struct {
		name     string
		data     []byte
		iso      bool
		problems int
	}{
		{"whole", build.Join(lens, camera), true, 0},
		{"a set that is not known between", build.Join(lens, other, camera), true, 0},
		{"padded", build.Join(lens, camera, make([]byte, 100)), true, 0},
		{"a length past the end", build.Join(lens, tooLong), false, 1},
		{"a key cut off", build.Join(lens, camera[:9]), false, 0},
	} {
		f := setsFrame(c.data, "test")
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
	value := build.Item(0x810B, build.U16(800))
	short := build.Join(build.Unhex(build.CameraKey), []byte{byte(len(value))}, value)
	long := build.KLV(build.CameraKey, value)
	if bytes.Equal(short, long) {
		t.Fatal("the two forms are the same bytes")
	}
	for _, p := range [][]byte{short, long} {
		if f := setsFrame(p, "test"); f.camera.ISO == nil || *f.camera.ISO != 800 {
			t.Errorf("% X: ISO %v", p, f.camera.ISO)
		}
	}
}

func TestRegisterVersionIsNotCompared(t *testing.T) {
	key := strings.Replace(build.CameraKey, "02530101", "0253010D", 1)
	if f := setsFrame(build.KLV(key, build.Item(0x810B, build.U16(800))), "test"); f.camera.ISO == nil {
		t.Error("a key of another register version is not recognised")
	}
}
