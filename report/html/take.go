package html

import (
	"cmp"
	"html/template"
	"os"

	"stopledger/analyze/advise"
	"stopledger/report"
	"stopledger/report/text"
)

// A take is one take: its letter, its verdict, and how it looks after its own correction.
type take struct {
	Letter, Name, Page, Facts, Verdict string
	Chosen                             bool
	Gauge                              template.HTML
	Picture                            template.URL
	Full                               string // link to the picture at full resolution, "" where it is not there
	Width, Height                      int    // of the frame as seen
	Alt                                string
	Layer                              string // first or second under the divider, to begin with
	Strip                              *stripView
}

func newTake(folder *os.Root, c *report.Clip, i int) take {
	t := take{
		Letter: advise.Letter(i), Name: clipName(c), Facts: clipFacts(c),
		Verdict: typeset(c.Advice.Summary), Gauge: gauge(c),
	}
	if page := report.ClipPage(c.Path); isFile(folder, page) {
		t.Page = page
	}
	words := text.Typeset(changeOf(c).After())
	if c.Pictures != nil {
		t.Picture = embedded(folder, c.Pictures.After)
		t.Full = beside(folder, "", cmp.Or(c.Pictures.FullAfter, c.Pictures.FullRecorded))
		t.Width, t.Height = seenSize(c)
		t.Alt = text.Typeset("Take " + t.Letter + " " + words + ", " + text.Clipped(c) + " clipped.")
	}
	strips := newStrips(folder, "", c)
	for k := range strips {
		if strips[k].Words == words {
			t.Strip = &strips[k]
		}
	}
	return t
}

// A versus is a table with a row a figure and a column a take; a difference stands under its
// value.
type versus struct {
	Letters []string
	Rows    []versusRow
	Alike   []versusRow // in which no take measurably differs from the first
}

type versusRow struct {
	Name  string
	Cells []versusCell
}

type versusCell struct {
	Value, Interval, Difference string
	Told                        bool
}

// Folded is the table of what is alike.
func (t versus) Folded() versus { return versus{Letters: t.Letters, Rows: t.Alike} }

func newVersus(takes []advise.Take) (t versus) {
	if len(takes) == 0 {
		return t
	}
	for i := range takes {
		t.Letters = append(t.Letters, advise.Letter(i))
	}
	for k, f := range takes[0].Figures {
		r := versusRow{Name: text.Typeset(text.FigureName(f))}
		measured, differs := false, false
		for i := range takes {
			f := takes[i].Figures[k]
			measured = measured || f.Value != nil
			cell := newVersusCell(f, i)
			differs = differs || cell.Told || f.Difference == nil && i > 0
			r.Cells = append(r.Cells, cell)
		}
		switch {
		case measured && (differs || len(takes) < 2):
			t.Rows = append(t.Rows, r)
		case measured:
			t.Alike = append(t.Alike, r)
		}
	}
	return t
}

func newVersusCell(f advise.Figure, take int) versusCell {
	cell := versusCell{Value: text.Typeset(text.FigureValue(f)), Interval: text.Typeset(text.FigureInterval(f))}
	if take == 0 || f.Difference == nil {
		return cell
	}
	difference := text.FigureDifference(f)
	cell.Told = difference != text.Untold
	cell.Difference = text.Typeset(difference) + " from A"
	if !cell.Told {
		cell.Difference = "no measurable difference from A"
	}
	return cell
}
