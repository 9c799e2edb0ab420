package audit

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/display"
	"stopledger/curve/lut"
)

// TestDisplayFileThatChangesMeanwhile: a worker that is asked for pictures through a display file that is
// another by now says so, and that they are of pictures: the clip's figures stay.
func TestDisplayFileThatChangesMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "look.cube")
	write := func(text string) *lut.Transform {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		made, err := lut.LoadTransform(path)
		if err != nil {
			t.Fatal(err)
		}
		return made
	}
	made := write("LUT_1D_SIZE 2\n0 0 0\n1 1 1\n")
	body, err := wire.Marshal(request{Path: "a.mov", Step: picturing,
		Settings: analyze.Settings{Display: &display.File{Path: path, Made: made}}})
	if err != nil {
		t.Fatal(err)
	}
	var same request
	if err := wire.Unmarshal(body, &same); err != nil || same.Settings.Display.Made.Digest != made.Digest {
		t.Fatalf("%+v: %v", same.Settings.Display, err)
	}
	other := new(oneTransform)
	write("LUT_1D_SIZE 2\n0 0 0\n0.5 1 1\n")
	name, _ := transformName(made)
	if _, err := other.find(name); err == nil || !strings.Contains(err.Error(), path+" has changed since") {
		t.Errorf("another file: %v", err)
	}
	write("LUT_1D_SIZE 2\n0 0 0\n1 1 0.5\n")
	gone, err := wire.Marshal(request{Path: "a.mov", Step: picturing,
		Settings: analyze.Settings{Display: &display.File{Made: &lut.Transform{Path: path, Digest: "none"}}}})
	if err != nil {
		t.Fatal(err)
	}
	var a reply
	if err := wire.Unmarshal(new(hand).do(gone, func(string, float64) {}), &a); err != nil {
		t.Fatal(err)
	}
	var of *PictureError
	if err := a.Failed.err(); !errors.As(err, &of) || of.Path != "a.mov" {
		t.Errorf("%v, want one of the pictures", err)
	}
}
