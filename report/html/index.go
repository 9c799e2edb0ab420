package html

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"

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
	Day      *timeline
	Compare  string // link to the comparison of the same takes, or ""
	Urgent   []row  // the worst, with a card
	More     int    // clips to check by eye that have no card
	Rows     []row  // the worst first
	Counts   []statusCount
	Findings []string // ids that occur, for the filter
	Failed   []text.FailureGroup
	Missed   []skipped // not reached
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
		out = append(out, listed(g.Head, g.Files))
	}
	return out
}

// newMissed lists what was not reached.
func newMissed(paths []string) []skipped {
	if len(paths) == 0 {
		return nil
	}
	var files []report.Skip
	for _, path := range paths {
		files = append(files, report.Skip{Path: path})
	}
	return []skipped{listed(text.Plural(len(paths), "clip"), files)}
}

func listed(head string, files []report.Skip) skipped {
	s := skipped{Head: head}
	for _, f := range files[:min(skippedShown, len(files))] {
		f.Path, f.Reason = metadata.Printable(f.Path), metadata.Printable(f.Reason)
		s.Files = append(s.Files, f)
	}
	if more := len(files) - skippedShown; more > 0 {
		s.More = fmt.Sprintf("and %d more, each named in %s", more, report.AuditDocument)
	}
	return s
}

type statusCount struct {
	status
	N int
}

// rows are what the index has of the clips, which are added one by one.
type rows struct {
	totals
	landed landing
	shared string // folders above all clips
	all    []row  // as listed
	ids    map[string]bool
	sky    bool
}

func newRows(paths []string) *rows {
	return &rows{shared: report.SharedFolders(paths), ids: map[string]bool{}}
}

// add adds clip i, and notes what the rows can be narrowed to.
func (s *rows) add(i int, c *report.Clip) {
	r := newRow(c, i)
	r.Folder = metadata.Printable(strings.TrimPrefix(report.ClipDir(c.Path), s.shared))
	for _, f := range c.Advice.Findings {
		s.ids[metadata.Printable(string(f.ID))] = true
	}
	s.totals.add(c)
	s.landed.add(c.Placement)
	s.sky = s.sky || clippedSky(c)
	s.all = append(s.all, r)
}

// index is the page of the clips that were added, and of what else a document tells.
func (s *rows) index(folder *os.Root, doc *report.Document) index {
	title := "Exposure of " + text.Plural(s.clips, "clip")
	slices.SortStableFunc(s.all, worseFirst)
	urgent := s.all[:min(s.states["alarm"], cardsShown)]
	p := index{
		frame:  newFrame(title, doc.Tool, []string{"base.css", "index.css"}, []string{"index.js"}),
		Spread: s.landed.spread(), Day: newTimeline(momentsOf(s.all)),
		Urgent: urgent, More: s.states["alarm"] - len(urgent),
		Rows: s.all, Findings: slices.Sorted(maps.Keys(s.ids)),
		Failed: text.FailureGroups(doc.Failed), Missed: newMissed(doc.NotReached), Skipped: newSkipped(doc.Skipped),
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

func momentsOf(all []row) (list []*moment) {
	for i := range all {
		list = append(list, &all[i].moment)
	}
	return list
}

// newIndex is the page of a document that holds its clips.
func newIndex(folder *os.Root, doc *report.Document) index {
	s := newRows(doc.Paths())
	for i := range doc.Clips {
		s.add(i, &doc.Clips[i])
	}
	return s.index(folder, doc)
}
