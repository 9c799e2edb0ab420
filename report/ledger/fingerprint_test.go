package ledger

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// Whatever changes at head, middle or tail of a file, in its size or its time, changes the
// fingerprint, and nothing else does.
func TestFingerprintOfAFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.mov")
	at := time.Unix(1000, 5)
	of := func(size int, change ...int) Fingerprint {
		t.Helper()
		b := make([]byte, size)
		for _, i := range change {
			b[i]++
		}
		noError(t, os.WriteFile(path, b, 0o644), os.Chtimes(path, at, at))
		return must(Take(nil, path))(t)
	}
	for _, size := range []int{1, 100, piece, piece + 1, 2*piece + 1, 10 * piece} {
		was := of(size)
		if was.Bytes != int64(size) || was.Modified != at.UnixNano() || was != of(size) {
			t.Errorf("%d bytes: %+v", size, was)
		}
		for _, i := range []int{0, size / 2, size - 1, min(piece-1, size-1), max(0, size-piece)} {
			if of(size, i) == was {
				t.Errorf("%d bytes: another byte at %d is not told", size, i)
			}
		}
		if of(size+1) == was {
			t.Errorf("%d bytes: another one is not told", size)
		}
		at = at.Add(1)
		if of(size) == was {
			t.Error("another time is not told")
		}
	}
	if of(10*piece, 2*piece) != of(10*piece) {
		t.Error("more is read than head, middle and tail")
	}
	if _, err := Take(nil, filepath.Join(dir, "none")); err == nil {
		t.Error("a file that is not there has a fingerprint")
	}
	if p := of(0); p.Bytes != 0 {
		t.Errorf("an empty file: %+v", p)
	}
}

// Of many files each counts: by name, size and time all, by content some.
func TestFingerprintOfPictures(t *testing.T) {
	dir := t.TempDir()
	var files []string
	at := time.Unix(1000, 0)
	for i := range 100 {
		files = append(files, filepath.Join(dir, strconv.Itoa(i)+".dpx"))
		noError(t, os.WriteFile(files[i], []byte("picture"), 0o644), os.Chtimes(files[i], at, at))
	}
	was := must(Take(nil, files...))(t)
	if was.Bytes != 700 {
		t.Errorf("%d bytes", was.Bytes)
	}
	for _, i := range []int{0, 1, 37, 50, 99} {
		noError(t, os.Chtimes(files[i], at, at.Add(-time.Second)))
		if must(Take(nil, files...))(t) == was {
			t.Errorf("another time of picture %d is not told", i)
		}
		noError(t, os.Chtimes(files[i], at, at))
	}
	for _, i := range []int{0, 50, 99} {
		noError(t, os.WriteFile(files[i], []byte("another"), 0o644), os.Chtimes(files[i], at, at))
		if must(Take(nil, files...))(t) == was {
			t.Errorf("other content of picture %d is not told", i)
		}
		noError(t, os.WriteFile(files[i], []byte("picture"), 0o644), os.Chtimes(files[i], at, at))
	}
	if must(Take(nil, files...))(t) != was || must(Take(nil, files[:99]...))(t) == was {
		t.Error("the same pictures differ, or fewer do not")
	}
}
