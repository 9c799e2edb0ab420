package text

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"

	"stopledger/decode/metadata"
	"stopledger/report"
)

// skipWords are what is skipped, one and several, in the order in which it is told.
var skipWords = []struct {
	kind           report.SkipKind
	single, plural string
}{
	{report.SkipPlaylist, "playlist not read: files of a recording that was split are measured one by one",
		"playlists not read: files of a recording that was split are measured one by one"},
	{report.SkipGap, "gap in a sequence", "gaps in sequences"},
	{report.SkipSame, "further name of a file", "further names of files"},
	{report.SkipLink, "link not followed", "links not followed"},
	{report.SkipProxy, "proxy not measured", "proxies not measured"},
	{report.SkipThumb, "thumbnail not measured", "thumbnails not measured"},
	{report.SkipSound, "sound file of a clip", "sound files of clips"},
	{report.SkipSpecial, "pipe, socket or device not opened", "pipes, sockets or devices not opened"},
	{report.SkipHidden, "hidden file or folder passed over", "hidden files or folders passed over"},
}

// A SkipGroup is what was skipped of one kind.
type SkipGroup struct {
	Head  string        // 3 proxies not measured
	Files []report.Skip // as they were found
}

// SkipGroups gathers what was skipped by kind, what is not read first.
func SkipGroups(skipped []report.Skip) []SkipGroup {
	by := map[report.SkipKind][]report.Skip{}
	for _, s := range skipped {
		by[s.Kind] = append(by[s.Kind], s)
	}
	var groups []SkipGroup
	if files := by[report.SkipNotRead]; len(files) > 0 {
		groups = append(groups, SkipGroup{Plural(len(files), "file") + " not read: " + endings(files, true), files})
	}
	for _, w := range skipWords {
		switch n := len(by[w.kind]); n {
		case 0:
		case 1:
			groups = append(groups, SkipGroup{"1 " + w.single, by[w.kind]})
		default:
			groups = append(groups, SkipGroup{fmt.Sprintf("%d %s", n, w.plural), by[w.kind]})
		}
	}
	return groups
}

// SkippedWords counts what was skipped: "8 files not read (.r3d, .braw)", "3 skipped".
func SkippedWords(skipped []report.Skip) (parts []string) {
	var notRead []report.Skip
	for _, s := range skipped {
		if s.Kind == report.SkipNotRead {
			notRead = append(notRead, s)
		}
	}
	if n := len(notRead); n > 0 {
		parts = append(parts, Plural(n, "file")+" not read ("+endings(notRead, false)+")")
	}
	if n := len(skipped) - len(notRead); n > 0 {
		parts = append(parts, fmt.Sprintf("%d skipped", n))
	}
	return parts
}

// endings lists the endings of files' names, most frequent first, with their numbers if counted is
// true.
func endings(files []report.Skip, counted bool) string {
	number := map[string]int{}
	for _, f := range files {
		number[endingOf(f.Path)]++
	}
	kinds := make([]string, 0, len(number))
	for kind := range number {
		kinds = append(kinds, kind)
	}
	slices.SortFunc(kinds, func(a, b string) int { return cmp.Or(number[b]-number[a], strings.Compare(a, b)) })
	const most = 6 // told
	more := ""
	if extra := len(kinds) - most; extra > 1 {
		kinds, more = kinds[:most], fmt.Sprintf(" and %d more kinds", extra)
	}
	if counted && len(number) > 1 {
		for i, kind := range kinds {
			kinds[i] = fmt.Sprintf("%d %s", number[kind], kind)
		}
	}
	return strings.Join(kinds, ", ") + more
}

func endingOf(file string) string {
	ending := strings.ToLower(path.Ext(report.ClipName(file)))
	if ending == "" {
		return "no ending"
	}
	return metadata.Printable(ending)
}

// Skipped tells what was skipped: a line a kind, and under it, where they are few and their names
// do not tell all, each with its reason.
func Skipped(skipped []report.Skip, layout Layout) string {
	const few = 8
	var b strings.Builder
	for _, g := range SkipGroups(skipped) {
		b.WriteString(Wrap(g.Head, "", layout.Width))
		if g.Files[0].Kind == report.SkipNotRead {
			continue
		}
		for _, s := range g.Files[:min(few, len(g.Files))] {
			b.WriteString(Wrap(metadata.Printable(s.Path)+": "+metadata.Printable(s.Reason), "    ", layout.Width))
		}
		if more := len(g.Files) - few; more > 0 {
			fmt.Fprintf(&b, "    and %d more\n", more)
		}
	}
	return b.String()
}
