package card

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"stopledger/decode"
	"stopledger/report"
)

// pictures are the numbered pictures of one folder.
type pictures struct {
	run   map[string]run // by each picture's name
	parts map[series]int // sequences of one series
	runs  map[series]int // those, and single pictures between gaps
}

// A run is the sequence that a picture belongs to, of one picture where it stands alone.
type run struct {
	decode.Sequence
	before *decode.Sequence // the one before it in its series, after which there is a gap
}

// A series is what pictures have in common that differ in their number only.
type series struct{ prefix, suffix string }

func (r run) series() series { return series{r.Prefix, r.Suffix} }

// picturesOf sorts the numbered pictures of a folder into sequences. A series with gaps is several.
func picturesOf(files []fs.DirEntry) pictures {
	var names []string
	for _, f := range files {
		if f.Type().IsRegular() && f.Name()[0] != '.' {
			names = append(names, f.Name())
		}
	}
	p := pictures{map[string]run{}, map[series]int{}, map[series]int{}}
	last := map[series]*decode.Sequence{}
	runs, _ := decode.Runs(names)
	for _, s := range runs {
		r := run{Sequence: s}
		r.before = last[r.series()]
		for i := range s.Count {
			p.run[s.Name(i)] = r
		}
		p.runs[r.series()]++
		if r.Count > 1 {
			p.parts[r.series()]++
		}
		last[r.series()] = &s
	}
	return p
}

// picture lists a numbered picture: with the sequence it begins, or as one that is in none.
func (w *walker) picture(path, real, name string, r run, p pictures) (met bool) {
	folder := path + string(filepath.Separator)
	if name == r.Name(0) {
		w.gap(folder, r, p)
	}
	switch {
	case r.Count == 1 && p.runs[r.series()] > 1:
		w.skip(filepath.Join(path, name), report.SkipGap, "a single picture between gaps of a sequence")
		return false
	case r.Count == 1:
		w.add(item{path: filepath.Join(path, name), listed: true, skip: notRead(name)})
		return false
	}
	if first := filepath.Join(real, name); name == r.Name(0) && w.real[first] == "" {
		w.markPictures(folder, real, r.Sequence)
		w.add(item{path: filepath.Join(path, name), listed: true, entry: newSequence(folder, r.Sequence)})
	}
	return true
}

// gap lists the numbers missing before a run of pictures.
func (w *walker) gap(folder string, r run, p pictures) {
	if r.before == nil {
		return
	}
	missing := *r.before
	missing.First += missing.Count
	missing.Count = r.First - missing.First
	if missing.Count > 0 { // else they are numbered twice, with more and with fewer zeros
		reason := fmt.Sprintf("%d missing", missing.Count)
		if n := p.parts[r.series()]; n > 1 {
			reason += fmt.Sprintf("; the sequence is measured in %d parts", n)
		}
		w.skip(folder+missing.String(), report.SkipGap, reason)
	}
}

// sequenceFrom returns the numbered pictures of a folder from the one called base on, as decode
// opens them; ok is false where base is no such picture or the last of them.
func sequenceFrom(folder, base string) (s decode.Sequence, ok bool) {
	if isClipName(base) {
		return s, false // spares reading the folder
	}
	files, err := os.ReadDir(filepath.Clean(folder + "."))
	if err != nil {
		return s, false
	}
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = f.Name()
	}
	sequences, _ := decode.Sequences(names)
	for _, s := range sequences {
		for i := range s.Count - 1 {
			if s.Name(i) == base {
				s.First, s.Count = s.First+i, s.Count-i
				return s, true
			}
		}
	}
	return s, false
}
