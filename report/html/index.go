package html

import (
	"fmt"
	"os"
	"slices"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// cardsShown is how many clips to check by eye are shown above the table; the table can be
// narrowed to the rest.
const cardsShown = 12

type index struct {
	frame
	Headline string
	Rest     string
	Spread   *spread
	Compare  string // link to the comparison of the same takes, or ""
	Urgent   []row
	More     int           // clips to check by eye that have no card
	Folders  []indexFolder // in the order of their first clips, as the clips were listed
	Clips    int
	Counts   []statusCount
	Findings []string // ids that occur, for the filter
	Failed   []text.FailureGroup
	Skipped  []skipped
}

// skipped is what was skipped of one kind; More says how many files are not listed.
type skipped struct {
	Head  string
	Files []report.Skip
	More  string
}

// skippedShown is how many files of one kind a page lists.
const skippedShown = 100

func newSkipped(all []report.Skip) (out []skipped) {
	for _, g := range text.SkipGroups(all) {
		s := skipped{Head: g.Head}
		for _, f := range g.Files[:min(skippedShown, len(g.Files))] {
			f.Path, f.Reason = metadata.Printable(f.Path), metadata.Printable(f.Reason)
			s.Files = append(s.Files, f)
		}
		if more := len(g.Files) - skippedShown; more > 0 {
			s.More = fmt.Sprintf("and %d more, each named in %s", more, report.AuditDocument)
		}
		out = append(out, s)
	}
	return out
}

type statusCount struct {
	status
	N int
}

type indexFolder struct {
	Name string
	Rows []row
}

// newIndex is the page of a shoot.
func newIndex(folder *os.Root, doc *report.Document) index {
	title := "Exposure of " + text.Plural(len(doc.Clips), "clip")
	p := index{
		frame: newFrame(title, doc.Tool, []string{"base.css", "index.css"}, []string{"index.js"}),
		Clips: len(doc.Clips), Spread: newSpread(doc.Clips), Failed: text.FailureGroups(doc.Failed),
		Skipped: newSkipped(doc.Skipped),
	}
	p.Headline, p.Rest = totals(doc)
	if isFile(folder, report.ComparePage) {
		p.Compare = report.ComparePage
	}
	p.addRows(doc)
	p.More = max(0, len(p.Urgent)-cardsShown)
	p.Urgent = p.Urgent[:len(p.Urgent)-p.More]
	return p
}

// addRows adds a row a clip, and counts and lists what the rows can be narrowed to.
func (p *index) addRows(doc *report.Document) {
	counts, ids := map[advise.Level]int{}, map[string]bool{}
	shared := report.SharedFolders(report.Paths(doc.Clips))
	for i := range doc.Clips {
		c := &doc.Clips[i]
		r := newRow(c, i)
		r.Folder = metadata.Printable(strings.TrimPrefix(report.ClipDir(c.Path), shared))
		counts[r.Level]++
		for _, f := range c.Advice.Findings {
			ids[metadata.Printable(string(f.ID))] = true
		}
		if r.Level == advise.Alarm {
			p.Urgent = append(p.Urgent, r)
		}
		p.Sky = p.Sky || clippedSky(c)
		p.inFolder(r)
	}
	for _, level := range []advise.Level{advise.Alarm, advise.Caution, advise.Note} {
		p.Counts = append(p.Counts, statusCount{statusOf(level), counts[level]})
	}
	for id := range ids {
		p.Findings = append(p.Findings, id)
	}
	slices.Sort(p.Findings)
}

// inFolder adds a row to its folder.
func (p *index) inFolder(r row) {
	at := slices.IndexFunc(p.Folders, func(f indexFolder) bool { return f.Name == r.Folder })
	if at < 0 {
		at = len(p.Folders)
		p.Folders = append(p.Folders, indexFolder{Name: r.Folder})
	}
	p.Folders[at].Rows = append(p.Folders[at].Rows, r)
}
