package card

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"stopledger/report"
)

// A layout is where cameras put the files that belong to a clip and are none themselves. Names are
// in capitals. The layouts are written from memory of cards; those of sidecars named M01 and R01
// are seen in files.
type layout struct {
	folder  string         // in which such files lie; "" for any
	endings string         // of their names; "" for any
	name    *regexp.Regexp // of their stems; the first part in brackets is in the clip's
	stem    string         // of the clip, $1 for that part
	clips   []string       // where the clip is, from the files' folder
	kind    report.SkipKind
	what    string // for people
}

var (
	whole     = regexp.MustCompile(`^(.+)$`)
	beside    = []string{"."}
	inClip    = []string{"../CLIP"}
	anyProxy  = regexp.MustCompile(`^(.+?)(?:_PROXY)?$`)
	aboveThat = []string{"..", "../VIDEO", "../CLIP"}
)

const proxyOf, thumbOf, soundOf = "a proxy of ", "a thumbnail of ", "the sound of "

// companion is the kind of files that a clip is measured with, and so are not skipped.
const companion report.SkipKind = ""

var layouts = []layout{
	{"SUB", "", regexp.MustCompile(`^(.+)S\d\d$`), "$1", inClip, report.SkipProxy, proxyOf},
	{"PROXY", "", anyProxy, "$1", aboveThat, report.SkipProxy, proxyOf},
	{"PROXIES", "", anyProxy, "$1", aboveThat, report.SkipProxy, proxyOf},
	{"", "", regexp.MustCompile(`^(.+)_PROXY$`), "$1", beside, report.SkipProxy, proxyOf},
	{"", ".lrv .lrf", whole, "$1", beside, report.SkipProxy, proxyOf},
	{"", ".lrv", regexp.MustCompile(`^GL(\d+)$`), "GX$1", beside, report.SkipProxy, proxyOf},
	{"", ".lrv", regexp.MustCompile(`^GL(\d+)$`), "GH$1", beside, report.SkipProxy, proxyOf},
	{"THMBNL", "", regexp.MustCompile(`^(.+)T\d\d$`), "$1", inClip, report.SkipThumb, thumbOf},
	{"ICON", ".bmp", whole, "$1", []string{"../VIDEO"}, report.SkipThumb, thumbOf},
	{"", ".thm", whole, "$1", beside, report.SkipThumb, thumbOf},
	{"AUDIO", ".mxf", regexp.MustCompile(`^(.+)\d\d$`), "$1", []string{"../VIDEO"}, report.SkipSound, soundOf},
	{"", ".xml .xmp .bim .smi .ppn .cif .cpf .cpi .srt", regexp.MustCompile(`^(.+?)(?:[MR]\d\d)?$`), "$1",
		[]string{".", "../VIDEO", "../STREAM"}, companion, ""},
}

// rawEndings are those of clips that are not read, and yet may have proxies.
var rawEndings = []string{".braw", ".r3d", ".crm", ".ari", ".arx", ".nev", ".dng"}

// tellCopies finds the files that belong to clips: proxies, thumbnails and sound are skipped,
// sidecars are companions. What is named by itself stays what it is, and a proxy is smaller than
// its clip.
func tellCopies(found []item) {
	clips := map[string]*item{}
	for i := range found {
		if f := &found[i]; f.entry != nil && f.entry.Err == nil || slices.Contains(rawEndings, ending(f.path)) {
			clips[keyOf(filepath.Dir(f.path), stem(f.path))] = f
		}
	}
	for i := range found {
		f := &found[i]
		if f.listed && (f.skip == nil || f.skip.kind == report.SkipNotRead) && (f.entry == nil || f.entry.Err == nil) {
			tellCopy(f, clips)
		}
	}
}

func tellCopy(f *item, clips map[string]*item) {
	for _, l := range layouts {
		clip := l.clipOf(f, clips)
		if clip == nil || clip == f || l.kind == report.SkipProxy && f.size >= clip.size {
			continue
		}
		f.entry, f.skip = nil, nil
		if l.kind != companion {
			f.skip = &skip{l.kind, l.what + clip.path}
		}
		return
	}
}

// clipOf returns the clip that a file belongs to by a layout, nil for none.
func (l layout) clipOf(f *item, clips map[string]*item) *item {
	dir, name := filepath.Dir(f.path), stem(f.path)
	if l.folder != "" && l.folder != strings.ToUpper(filepath.Base(dir)) ||
		l.endings != "" && !slices.Contains(strings.Fields(l.endings), ending(f.path)) || !l.name.MatchString(name) {
		return nil
	}
	for _, at := range l.clips {
		if clip := clips[keyOf(filepath.Join(dir, at), l.name.ReplaceAllString(name, l.stem))]; clip != nil {
			return clip
		}
	}
	return nil
}

// keyOf is the same for paths that differ in case only, as they are the same on most cards.
func keyOf(dir, stem string) string { return strings.ToUpper(filepath.Join(dir, stem)) }
