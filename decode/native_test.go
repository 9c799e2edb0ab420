package decode

import (
	"os/exec"
	"strings"
	"testing"
)

// The versions are those that pkg-config, with which FFmpeg was found, gives for its libraries.
func TestLibraries(t *testing.T) {
	for _, library := range Libraries() {
		name, version, _ := strings.Cut(library, " ")
		out, err := exec.Command("pkg-config", "--modversion", name).Output()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if want := strings.TrimSpace(string(out)); version != want {
			t.Errorf("%s: %s, want %s", name, version, want)
		}
	}
}
