package report

import (
	"fmt"
	"html/template"
	"os"
	"slices"
	"strings"
)

// cardsShown is how many clips that need a person are shown above the table; the table can be
// narrowed to the rest.
const cardsShown = 12

type indexPage struct {
	frame
	Headline string
	Rest     string
	Spread   *spreadView
	Compare  string // link to the comparison of the same takes, or ""
	Urgent   []indexRow
	More     int           // clips that need a person and have no card
	Folders  []indexFolder // in the order of their first clips, as the clips were listed
	Clips    int
	Counts   []statusCount
	Findings []string // ids that occur, for the filter
	Failed   []Failure
}

type statusCount struct {
	status
	N int
}

type indexFolder struct {
	Name string
	Rows []indexRow
}

// An indexRow is a clip in the table. The keys are what its columns sort by, "" where there is
// no number.
type indexRow struct {
	status
	Page, Name, Folder, Facts   string
	Thumb                       string
	Verdict                     string
	Gauge                       template.HTML
	Grey, GreyBy                string
	Shadows, Nominal            string
	Clipped, Areas              string
	Do, Next                    string
	Findings                    []Finding
	Why                         []string
	IDs                         string
	KeyGrey, KeyShadows, KeyDo  string
	KeyClipped, KeyLevel, Place string
}

func newIndexPage(folder *os.Root, doc *Document) indexPage {
	p := indexPage{
		frame: newFrame("Exposure of "+plural(len(doc.Clips), "clip"), doc.Tool, []string{"base.css", "index.css"}, []string{"index.js"}),
		Clips: len(doc.Clips), Spread: newSpread(doc.Clips),
	}
	p.Headline, p.Rest = totals(doc)
	if isFile(folder, comparePage) {
		p.Compare = comparePage
	}
	counts, ids := map[string]int{}, map[string]bool{}
	at, shared := map[string]int{}, sharedFolders(clipPaths(doc.Clips))
	for i, c := range doc.Clips {
		row := newIndexRow(c, i)
		row.Folder = Printable(strings.TrimPrefix(clipDir(c.Path), shared))
		counts[row.Level]++
		for _, f := range c.Advice.Findings {
			ids[Printable(f.ID)] = true
		}
		if row.Level == "alarm" {
			p.Urgent = append(p.Urgent, row)
		}
		p.Sky = p.Sky || clippedSky(c)
		k, seen := at[row.Folder]
		if !seen {
			k = len(p.Folders)
			at[row.Folder] = k
			p.Folders = append(p.Folders, indexFolder{Name: row.Folder})
		}
		p.Folders[k].Rows = append(p.Folders[k].Rows, row)
	}
	for _, level := range []string{"alarm", "caution", "note"} {
		of := statusOf(Clip{Advice: Advice{Findings: []Finding{{Level: level}}}})
		p.Counts = append(p.Counts, statusCount{of, counts[level]})
	}
	for id := range ids {
		p.Findings = append(p.Findings, id)
	}
	slices.Sort(p.Findings)
	p.Failed = printableFailures(doc.Failed)
	p.More = max(0, len(p.Urgent)-cardsShown)
	p.Urgent = p.Urgent[:len(p.Urgent)-p.More]
	return p
}

func newIndexRow(c Clip, place int) indexRow {
	row := indexRow{
		status: statusOf(c), Page: clipPage(c.Path), Place: fmt.Sprint(place),
		Name: Printable(clipName(c.Path)), Facts: indexFacts(c),
		Verdict: typeset(Printable(Verdict(c))), Gauge: gauge(c),
		Grey: typeset(cellGrey(c)), Shadows: typeset(cellShadows(c)), Clipped: typeset(cellClipped(c)),
		Do: typeset(cellAdvice(c)), Findings: findingsByLevel(c),
		KeyLevel: fmt.Sprint(levelRank[worstLevel(c)]), KeyClipped: fmt.Sprintf("%.6f", c.Highlights.Clipped.Any),
	}
	if c.Pictures != nil {
		row.Thumb = localName(c.Pictures.Thumb)
	}
	if p := c.Placement; p != nil {
		row.GreyBy, row.KeyGrey = greySource(p), key(&p.Stops)
	}
	if !c.Noise.Suppressed {
		row.KeyShadows = key(c.Advice.After.SNR)
		if v, ok := known(c.Advice.After.NominalSNR); ok && row.Shadows != Absent {
			row.Nominal = typeset("nominal " + Decibels(v))
		}
	} else {
		row.Nominal = "noise hidden"
	}
	if row.Do != Absent {
		stops := correctionStops(c)
		row.KeyDo = key(&stops)
	}
	row.Why = mainFindings(row.Findings)
	row.Areas = areasInWords(c.Highlights)
	var ids []string
	for _, f := range c.Advice.Findings {
		ids = append(ids, Printable(f.ID))
	}
	row.IDs = strings.Join(ids, " ")
	return row
}

// mainFindings returns the texts of at most two findings, notes only where there is nothing
// graver. The findings are in order of their levels.
func mainFindings(findings []Finding) (texts []string) {
	for i, f := range findings {
		if i < 2 && (i == 0 || f.Level != "note") {
			texts = append(texts, f.Text)
		}
	}
	return texts
}

func key(v *float64) string {
	if n, ok := known(v); ok {
		return fmt.Sprintf("%.4f", n)
	}
	return ""
}

func indexFacts(c Clip) string {
	facts := []string{c.Curve.Name}
	if c.Width > 0 {
		facts = append(facts, fmt.Sprintf("%d × %d", c.Width, c.Height))
	}
	if c.DurationS > 0 {
		facts = append(facts, Seconds(c.DurationS))
	}
	return typeset(Printable(strings.Join(without(facts, ""), " · ")))
}

// areasInWords tells fields from points.
func areasInWords(h Highlights) string {
	field, points := sharesByKind(h.Areas)
	switch {
	case field > 0 && points > 0:
		return "field and points"
	case field > 0:
		return "field"
	case points > 0:
		return "points"
	}
	if headroom, ok := known(h.Headroom); ok {
		words := PlainStops(headroom, 1) + " left"
		if h.Ceiling.Origin != "measured" {
			words = "at most " + words // the recording may clip under the end of the curve
		}
		return typeset(words)
	}
	return ""
}

func without(list []string, drop string) []string {
	return slices.DeleteFunc(list, func(s string) bool { return s == drop })
}

func printableFailures(failed []Failure) []Failure {
	out := make([]Failure, len(failed))
	for i, f := range failed {
		out[i] = Failure{Printable(f.Path), Printable(f.Error)}
	}
	return out
}
