package decode

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// A Sequence is a run of pictures in files whose names differ in a number only, such as
// shot.0001.dpx, shot.0002.dpx ... It is one clip.
type Sequence struct {
	Prefix string // "shot."
	Digits int    // least width of the number, filled with zeros: 4
	First  int    // 1
	Count  int    // at least 2
	Suffix string // ".dpx"
}

// Name returns the name of picture i, from 0.
func (s Sequence) Name(i int) string {
	return fmt.Sprintf("%s%0*d%s", s.Prefix, s.Digits, s.First+i, s.Suffix)
}

// String returns the first name and the last number: shot.[0001-0024].dpx
func (s Sequence) String() string {
	return fmt.Sprintf("%s[%0*d-%0*d]%s", s.Prefix, s.Digits, s.First, s.Digits, s.First+s.Count-1, s.Suffix)
}

// from returns the part of the sequence that begins with picture i.
func (s Sequence) from(i int) Sequence {
	s.First, s.Count = s.First+i, s.Count-i
	return s
}

// find returns which picture of the sequence has a name, -1 if none.
func (s Sequence) find(name string) int {
	numbered, ok := splitNumber(name)
	if i := numbered.value - s.First; ok && i >= 0 && i < s.Count && s.Name(i) == name {
		return i
	}
	return -1
}

// Sequences finds the numbered sequences of DPX, TIFF and PNG pictures among the names of the
// files in one folder, and the names that are in none, both in order of name. A number has up
// to nine digits right before the last dot; a sequence has at least two numbers and no gap.
func Sequences(names []string) (sequences []Sequence, others []string) {
	runs, others := Runs(names)
	for _, run := range runs {
		if run.Count > 1 {
			sequences = append(sequences, run)
		} else {
			others = append(others, run.Name(0))
		}
	}
	slices.SortFunc(sequences, func(a, b Sequence) int { return cmp.Compare(a.Name(0), b.Name(0)) })
	slices.Sort(others)
	return sequences, others
}

// Runs finds what Sequences finds, and numbered pictures that stand alone, as runs of one; in the
// order of their first numbers. The other names keep their order.
func Runs(names []string) (runs []Sequence, others []string) {
	var all []numbered
	for _, name := range names {
		if n, ok := splitNumber(name); ok && numberedKinds[strings.ToLower(filepath.Ext(name))] {
			all = append(all, n)
		} else {
			others = append(others, name)
		}
	}
	slices.SortFunc(all, func(a, b numbered) int {
		return cmp.Or(cmp.Compare(a.value, b.value), cmp.Compare(len(a.digits), len(b.digits)),
			cmp.Compare(a.name(), b.name()))
	})
	open := map[string]int{} // runs by the name that would continue each
	for _, n := range all {
		at, found := open[n.name()]
		if !found {
			at = len(runs)
			runs = append(runs, Sequence{Prefix: n.prefix, Digits: len(n.digits), First: n.value, Suffix: n.suffix})
		}
		delete(open, n.name())
		runs[at].Count++
		open[runs[at].Name(runs[at].Count)] = at
	}
	return runs, others
}

// numberedKinds are the pictures that come as numbered sequences.
var numberedKinds = map[string]bool{".dpx": true, ".tif": true, ".tiff": true, ".png": true}

// A numbered name is one with a number before its last dot.
type numbered struct {
	prefix, digits, suffix string
	value                  int
}

func (n numbered) name() string { return n.prefix + n.digits + n.suffix }

// mostDigits keeps numbers, and the number after the last, within 32 bits.
const mostDigits = 9

func splitNumber(name string) (numbered, bool) {
	suffix := filepath.Ext(name)
	stem := strings.TrimSuffix(name, suffix)
	prefix := strings.TrimRight(stem, "0123456789")
	digits := stem[len(prefix):]
	value, err := strconv.Atoi(digits)
	if err != nil || len(digits) > mostDigits {
		return numbered{}, false
	}
	return numbered{prefix, digits, suffix, value}, true
}

// splitPattern reads a name such as shot.%06d.dpx. There may be one number and no other percent
// sign; what it gives has no First and Count yet.
func splitPattern(name string) (Sequence, bool) {
	prefix, rest, found := strings.Cut(name, "%")
	width, suffix, closed := strings.Cut(rest, "d")
	if !found || !closed || strings.Contains(suffix, "%") || !numberedKinds[strings.ToLower(filepath.Ext(name))] {
		return Sequence{}, false
	}
	if width == "" {
		return Sequence{Prefix: prefix, Digits: 1, Suffix: suffix}, true
	}
	digits, err := strconv.Atoi(width)
	if err != nil || width[0] != '0' || digits < 1 || digits > mostDigits {
		return Sequence{}, false
	}
	return Sequence{Prefix: prefix, Digits: digits, Suffix: suffix}, true
}
