package html

import (
	"fmt"
	"maps"
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

// rows are what the index has of the clips, which are added one by one.
type rows struct {
	totals
	landed  landing
	shared  string         // folders above all clips
	urgent  []row          // with a card
	folders []indexFolder  // in the order of their first clips
	at      map[string]int // their places
	ids     map[string]bool
	sky     bool
}

func newRows(paths []string) *rows {
	return &rows{shared: report.SharedFolders(paths), at: map[string]int{}, ids: map[string]bool{}}
}

// add adds clip i, and notes what the rows can be narrowed to.
func (s *rows) add(i int, c *report.Clip) {
	r := newRow(c, i)
	r.Folder = metadata.Printable(strings.TrimPrefix(report.ClipDir(c.Path), s.shared))
	for _, f := range c.Advice.Findings {
		s.ids[metadata.Printable(string(f.ID))] = true
	}
	if r.Level == advise.Alarm && len(s.urgent) < cardsShown {
		s.urgent = append(s.urgent, r)
	}
	r.Findings = nil // they are on cards alone
	s.totals.add(c)
	s.landed.add(c.Placement)
	s.sky = s.sky || clippedSky(c)
	at, known := s.at[r.Folder]
	if !known {
		at = len(s.folders)
		s.at[r.Folder], s.folders = at, append(s.folders, indexFolder{Name: r.Folder})
	}
	s.folders[at].Rows = append(s.folders[at].Rows, r)
}

// index is the page of the clips that were added, and of what else a document tells.
func (s *rows) index(folder *os.Root, doc *report.Document) index {
	title := "Exposure of " + text.Plural(s.clips, "clip")
	p := index{
		frame:  newFrame(title, doc.Tool, []string{"base.css", "index.css"}, []string{"index.js"}),
		Spread: s.landed.spread(), Urgent: s.urgent, More: s.states["alarm"] - len(s.urgent),
		Folders: s.folders, Clips: s.clips, Findings: slices.Sorted(maps.Keys(s.ids)),
		Failed: text.FailureGroups(doc.Failed), Skipped: newSkipped(doc.Skipped),
	}
	p.Sky = s.sky
	p.Headline, p.Rest = s.totals.words(doc)
	if isFile(folder, report.ComparePage) {
		p.Compare = report.ComparePage
	}
	for _, state := range statuses {
		p.Counts = append(p.Counts, statusCount{state, s.states[state.Key]})
	}
	return p
}

// newIndex is the page of a document that holds its clips.
func newIndex(folder *os.Root, doc *report.Document) index {
	s := newRows(doc.Paths())
	for i := range doc.Clips {
		s.add(i, &doc.Clips[i])
	}
	return s.index(folder, doc)
}
