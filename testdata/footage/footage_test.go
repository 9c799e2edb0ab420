package footage

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const mostBytes = 4_000_000 // of all files together: a clone stays small

// Every file is in README.md, as long and with the SHA-256 that stand there, and none is missing.
func TestFilesAreThoseOfTheREADME(t *testing.T) {
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for line := range strings.Lines(string(readme)) {
		cells := strings.Split(line, "|")
		if len(cells) != 7 || !strings.Contains(cells[1], "/") {
			continue
		}
		name := strings.TrimSpace(cells[1])
		listed[name] = true
		data, err := os.ReadFile(Path(t, name))
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(data)
		if got := hex.EncodeToString(sum[:]); strings.Trim(cells[3], " `") != got {
			t.Errorf("%s: SHA-256 %s, listed as %s", name, got, cells[3])
		}
		if strings.TrimSpace(cells[2]) != strconv.Itoa(len(data)) {
			t.Errorf("%s: %d bytes, listed as %s", name, len(data), cells[2])
		}
	}
	total := int64(0)
	err = filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		total += info.Size()
		name := filepath.ToSlash(path)
		if strings.Contains(name, "/") && !strings.HasPrefix(name, "licences/") && !listed[name] {
			t.Errorf("%s is not in README.md", name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if total > mostBytes {
		t.Errorf("%d bytes in all, at most %d", total, mostBytes)
	}
}

// A file that is nowhere skips the test that wants it.
func TestPathSkips(t *testing.T) {
	t.Run("absent", func(t *testing.T) {
		defer func() {
			if !t.Skipped() {
				t.Error("not skipped")
			}
		}()
		Path(t, "video/absent.mov")
	})
}
