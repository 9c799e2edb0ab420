package card

import (
	"os"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

func TestPipesAreNoClips(t *testing.T) {
	inFolder(t, "day/a.mov")
	if err := unix.Mkfifo("day/pipe.mov", 0o644); err != nil {
		t.Skip(err)
	}
	check(t, find(t, "day"), []string{"day/a.mov"},
		[]string{"special day/pipe.mov: a pipe, socket or device, and no file"})
}

// A pipe named like a card's XML is not waited for.
func TestPipeAsXMLOfACard(t *testing.T) {
	inFolder(t, "VIDEO/a.mov", "CLIP/b.XML")
	if err := unix.Mkfifo("CLIP/a.XML", 0o644); err != nil {
		t.Skip(err)
	}
	check(t, find(t, "VIDEO"), []string{"VIDEO/a.mov"}, nil)
}

// A clip that somebody has open for writing is growing, and one at rest, or open for reading, is not.
func TestOpenForWriting(t *testing.T) {
	inFolder(t, "a.mov")
	e := find(t, "a.mov").Entries[0]
	reader, err := os.Open("a.mov")
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if e.Growing() {
		t.Error("it grows at rest")
	}
	writer, err := os.OpenFile("a.mov", os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		t.Fatal(err)
	}
	if !e.Growing() || e.Changed() {
		t.Error("it is not told that it is open for writing")
	}
	writer.Close()
	if e.Growing() {
		t.Error("it grows after the writer is through")
	}
}

// asNobody calls f with the rights of a user who owns nothing, where the test runs as the superuser,
// who may read everything.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Getuid() != 0 {
		f()
		return
	}
	const nobody = 65534 // Debian's
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if err := unix.Setfsuid(nobody); err != nil {
		t.Fatal(err)
	}
	defer unix.Setfsuid(0)
	f()
}

// A folder that may not be read holds clips that nobody measured: it fails. One whose files may not
// be looked at lists them, and decode says what is wrong.
func TestFoldersThatCannotBeRead(t *testing.T) {
	inFolder(t, "day/a.mov", "day/b/b.mov", "day/c.mov", "day/d/d.mov", "day/d/d.r3d")
	for folder, mode := range map[string]os.FileMode{"day/b": 0, "day/d": 0o444} {
		if err := os.Chmod(folder, mode); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.Chmod(folder, 0o755) })
	}
	var l Listing
	asNobody(t, func() { l = find(t, "day") })
	check(t, l, []string{"day/a.mov", "day/b", "day/c.mov", "day/d/d.mov"},
		[]string{"not-read day/d/d.r3d: files of kind .r3d are not read"})
	if err := l.Entries[1].Err; err == nil || !strings.Contains(err.Error(),
		"the folder cannot be read (permission denied): clips in it are not measured; check its permissions") {
		t.Errorf("error %v", err)
	}
}
