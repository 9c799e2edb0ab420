package disk

import (
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// What is free is what df tells, give or take what others write meanwhile.
func TestFree(t *testing.T) {
	dir := t.TempDir()
	got, known := Free(dir)
	out, err := exec.Command("df", "-P", "-k", dir).Output() // POSIX: the fourth column is what is available
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	kilobytes, err := strconv.ParseInt(strings.Fields(lines[len(lines)-1])[3], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	const meanwhile = 1 << 30
	if off := got - kilobytes*1024; !known || off > meanwhile || off < -meanwhile {
		t.Errorf("%d bytes, known %v; df says %d", got, known, kilobytes*1024)
	}
	if _, known := Free(filepath.Join(dir, "none")); known {
		t.Error("a folder that is not there has room")
	}
}
