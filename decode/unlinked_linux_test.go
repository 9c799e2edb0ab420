package decode

import (
	"debug/elf"
	"os"
	"strings"
	"testing"
)

// TestUnlinked looks for the libraries that unlinked_linux.c keeps away in this test program, which is linked as
// every program with this package is.
func TestUnlinked(t *testing.T) {
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	f, err := elf.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	libraries, err := f.ImportedLibraries()
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, name := range libraries {
		switch library, _, _ := strings.Cut(name, "."); library {
		case "libavfilter", "libavdevice", "libswscale":
			t.Errorf("%s is loaded on every start", name)
		case "libavcodec":
			found = true
		}
	}
	if !found {
		t.Errorf("libavcodec is not among %q", libraries)
	}
}
