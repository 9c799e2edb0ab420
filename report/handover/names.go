package handover

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"stopledger/report"
)

// Mark tells a clip's files from those of another of the same name: ten hex digits of the SHA-256 of its
// path.
func Mark(clipPath string) string {
	sum := sha256.Sum256([]byte(clipPath))
	return hex.EncodeToString(sum[:5])
}

// Stem returns the name of a clip's files as any system takes it: the clip's without its ending, letters,
// digits, dashes and underscores of ASCII.
func Stem(clipPath string) string {
	const longest = 60
	name := report.ClipName(clipPath)
	if dot := strings.LastIndexByte(name, '.'); dot > 0 {
		name = name[:dot]
	}
	var b strings.Builder
	for _, r := range name {
		switch {
		case r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '_':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() == longest {
			break
		}
	}
	if s := strings.Trim(b.String(), "-"); s != "" {
		return s
	}
	return "clip"
}

// markedStem is a stem that no other clip has.
func markedStem(clipPath string) string { return Stem(clipPath) + "-" + Mark(clipPath) }

// stems returns a stem for each clip that is to have files in a folder: its own, or, where another clip
// of them or the files of another there have that, also without case, the one with its mark.
func stems(dir string, paths []string) (map[string]string, error) {
	chosen := map[string]string{}
	for _, p := range paths {
		chosen[p] = Stem(p)
		taken, err := othersFiles(dir, p)
		if err != nil {
			return nil, err
		}
		if taken {
			chosen[p] = markedStem(p)
		}
	}
	for again := true; again; { // a clip may be called as another is with its mark
		again = false
		of := map[string]int{}
		for _, stem := range chosen {
			of[strings.ToLower(stem)]++
		}
		for p, stem := range chosen {
			if of[strings.ToLower(stem)] > 1 && stem != markedStem(p) {
				chosen[p], again = markedStem(p), true
			}
		}
	}
	return chosen, nil
}

// listStem names the lists of all clips, and writer stands in each.
const (
	listStem = "exposure"
	writer   = "stopledger"
)

// namesOf are all names that files of a stem may have.
func namesOf(stem string) (names []string) {
	for _, d := range Domains {
		for _, as := range Kinds {
			names = append(names, stem+"_"+string(d)+endings[as])
		}
	}
	return names
}

// othersFiles tells whether a folder has files of a clip's stem that are not of the clip.
func othersFiles(dir, clipPath string) (bool, error) {
	for _, name := range namesOf(Stem(clipPath)) {
		text, err := headOf(filepath.Join(dir, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil || !strings.Contains(text, Mark(clipPath)) {
			return true, err
		}
	}
	return false, nil
}

// headOf returns the beginning of a file, where those written here say whose they are; nothing of a pipe or
// a folder.
func headOf(path string) (string, error) {
	const head = 64 << 10
	info, err := os.Stat(path)
	if err != nil || !info.Mode().IsRegular() {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, head))
	return string(b), err
}
