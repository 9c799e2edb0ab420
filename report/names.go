package report

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Names within a report's folder.
const (
	IndexPage     = "index.html"   // the page a person opens first
	ComparePage   = "compare.html" // takes side by side
	AuditDocument = "audit.json"   // what programs read
	AuditTable    = "audit.csv"    // a row a clip
	ClipFolder    = "clips"        // a page a clip
	PictureFolder = "pictures"
	AuditLog      = "log.txt"          // a line an event of each run
	FolderLock    = ".stopledger.lock" // held while a run writes the folder
)

// What this program writes into the folder of a report, by name (see FileStem and WriteFile): a file that is
// not whole, a page of a clip, and its pictures, which have one stem.
var (
	ownPart    = regexp.MustCompile(`^\..+\.[0-9]+\.part(-journal)?$`)
	ownPage    = regexp.MustCompile(`^[0-9A-Za-z-]+-[0-9a-f]{10}\.html$`)
	ownPicture = regexp.MustCompile(`^([0-9A-Za-z-]+-[0-9a-f]{10}-[0-9a-f]{6})-[0-9a-z-]+\.(jpg|png)$`)
)

// IsPart tells the name of a file that is being written, or was when a run was killed.
func IsPart(name string) bool { return ownPart.MatchString(name) }

// IsClipPage tells the name of a clip's page, within its folder.
func IsClipPage(name string) bool { return ownPage.MatchString(name) }

// StemOfPicture returns what the names of a clip's pictures begin with, within their folder; "" of any other
// name.
func StemOfPicture(name string) string {
	if m := ownPicture.FindStringSubmatch(name); m != nil {
		return m[1]
	}
	return ""
}

// FileStem returns the name under which a clip's page and pictures are written: what can be
// kept of its file name, and ten hex digits of the SHA-256 of its whole path. So two clips of
// one name in different folders differ, names that differ only in case do too, and no path,
// however strange, leads out of the report's folder.
func FileStem(clipPath string) string {
	sum := sha256.Sum256([]byte(clipPath))
	return plainName(ClipName(clipPath)) + "-" + hex.EncodeToString(sum[:5])
}

// PlainPath returns a path as a document has it: in valid UTF-8, which JSON cannot do without. A
// byte that is none becomes U+FFFD and two hex digits, and U+FFFD itself is doubled, so that
// different paths stay different.
func PlainPath(path string) string {
	if utf8.ValidString(path) && !strings.ContainsRune(path, utf8.RuneError) {
		return path
	}
	var b strings.Builder
	for path != "" {
		r, size := utf8.DecodeRuneInString(path)
		b.WriteRune(r)
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, "%02x", path[0])
		case r == utf8.RuneError:
			b.WriteRune(r)
		}
		path = path[size:]
	}
	return b.String()
}

// ClipPage returns the name of a clip's page relative to the report's folder, with slashes.
func ClipPage(clipPath string) string {
	return path.Join(ClipFolder, FileStem(clipPath)+".html")
}

// ClipName returns the last element of a clip's path, with either kind of slash.
func ClipName(clipPath string) string {
	return clipPath[strings.LastIndexAny(clipPath, `/\`)+1:]
}

// ClipDir returns a clip's path without its last element, "." when there is none.
func ClipDir(clipPath string) string {
	switch i := strings.LastIndexAny(clipPath, `/\`); {
	case i < 0:
		return "."
	case i == 0:
		return clipPath[:1]
	default:
		return clipPath[:i]
	}
}

// SharedFolders returns the folders, with the slash at their end, that lie above the folder of
// every clip; "" where there are none. No clip's own folder is among them.
func SharedFolders(paths []string) string {
	if len(paths) == 0 {
		return ""
	}
	shared := above(ClipDir(paths[0]))
	for _, p := range paths {
		for dir := ClipDir(p); !strings.HasPrefix(dir, shared) || len(dir) == len(shared); {
			shared = above(strings.TrimRight(shared, `/\`))
		}
	}
	return shared
}

// above cuts the last element off a folder's path and leaves the slash before it.
func above(dir string) string { return dir[:strings.LastIndexAny(dir, `/\`)+1] }

// plainName keeps ASCII letters and digits, and turns each run of anything else into one dash.
// It is at most plainLength long and never empty.
func plainName(name string) string {
	const plainLength = 40
	var b strings.Builder
	for _, r := range name {
		keep := r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
		switch {
		case keep:
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() == plainLength {
			break
		}
	}
	if s := strings.Trim(b.String(), "-"); s != "" {
		return s
	}
	return "clip"
}

// PictureKey tells apart what the pictures of a clip show: everything in its document bears on them
// but they themselves and findings, which may speak of other clips.
func PictureKey(c *Clip) [sha256.Size]byte {
	bare := *c
	bare.Pictures, bare.Advice.Findings = nil, nil
	b, err := json.Marshal(listedClips([]Clip{bare}))
	if err != nil {
		panic("report: a clip's document cannot be written: " + err.Error())
	}
	return sha256.Sum256(b)
}

// PictureStem returns the name under which a clip's pictures are written. Pictures that show
// something else of the same clip have another.
func PictureStem(c *Clip) string {
	key := PictureKey(c)
	return FileStem(c.Path) + "-" + hex.EncodeToString(key[:3])
}

// Files returns the names of the picture files.
func (p *Pictures) Files() []string {
	names := []string{p.Thumb, p.Recorded, p.After, p.StopMap, p.Clipped, p.Waveform, p.Levels,
		p.Channels, p.FullRecorded, p.FullAfter}
	for _, s := range p.Strips {
		names = append(names, s.File)
	}
	return slices.DeleteFunc(names, func(name string) bool { return name == "" })
}
