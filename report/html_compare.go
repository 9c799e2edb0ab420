package report

import (
	"fmt"
	"html/template"
	"os"
	"path/filepath"

	"stopledger/analyze"
)

// comparePage is the name of the page that WriteCompare writes.
const comparePage = "compare.html"

// WriteCompare writes dir/compare.html: the takes of doc side by side, each shown after its own
// correction so that their noise is seen at equal brightness, the differences from the first
// with their intervals, and the recommendation. The page carries its pictures within it. Stills
// are rendered first, as in WritePages; it needs at least one clip. An index that is there is
// written anew from doc, to link to the page.
func WriteCompare(dir string, doc *Document, stills map[string]*analyze.Stills) error {
	for i := range doc.Clips {
		c := &doc.Clips[i]
		if err := WritePictures(dir, c, stills[c.Path]); err != nil {
			return err
		}
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		return fmt.Errorf("folder for the comparison: %w", err)
	}
	defer folder.Close()
	if err := writePage(filepath.Join(dir, comparePage), "compare", newComparePage(folder, doc)); err != nil {
		return err
	}
	if !isFile(folder, indexPageName) {
		return nil
	}
	return writePage(filepath.Join(dir, indexPageName), "index", newIndexPage(folder, doc)) // to link to the comparison
}

type comparePageView struct {
	frame
	Headline, Reason string
	Takes            []takeView
	Framed           bool // at least two takes have a frame to compare
	Moving           bool // at least two takes have an enlarged piece
	Matched          bool // every take is brought to its target, so all are equally bright
	Width, Height    int
	Drawing          *drawing
	Table            compareTable
	Failed           []Failure
}

// A takeView is one take: its letter, its verdict, and how it looks after its own correction.
type takeView struct {
	Letter, Name, Page, Facts, Verdict string
	Chosen                             bool
	Gauge                              template.HTML
	Grey, Do, Shadows, Clipped         string
	Words                              string // the correction its pictures are shown with
	Picture                            template.URL
	Alt                                string
	Layer                              string // first or second under the divider, to begin with
	Strip                              *stripView
}

func newComparePage(folder *os.Root, doc *Document) comparePageView {
	comparison := Compare(*doc)
	v := comparePageView{
		frame:  newFrame("Takes side by side", doc.Tool, []string{"base.css", "clip.css", "compare.css"}, []string{"clip.js", "compare.js"}),
		Reason: typeset(Printable(comparison.Recommendation.Reason)),
		Table:  newCompareTable(comparison), Failed: printableFailures(doc.Failed),
	}
	v.Headline = plural(len(doc.Clips), "take") + " side by side"
	if isFile(folder, indexPageName) {
		v.Home = indexPageName
	}
	frames, strips := 0, 0
	v.Matched = true
	for i, c := range doc.Clips {
		t := newTakeView(folder, c, i)
		t.Chosen = comparison.Recommendation.Take != nil && *comparison.Recommendation.Take == i+1
		v.Sky = v.Sky || clippedSky(c)
		v.Matched = v.Matched && c.Placement != nil && !c.Placement.Weak
		if t.Picture != "" {
			frames++
			v.Width, v.Height = seenSize(c)
			t.Layer = map[int]string{1: "first", 2: "second"}[frames]
		}
		if t.Strip != nil {
			strips++
		}
		v.Takes = append(v.Takes, t)
	}
	v.Framed, v.Moving = frames > 1, strips > 1
	if d, ok := compareDrawing(comparison); ok {
		v.Drawing = &d
	}
	return v
}

func newTakeView(folder *os.Root, c Clip, i int) takeView {
	t := takeView{
		Letter: letter(i), Name: Printable(clipName(c.Path)), Facts: clipFacts(c), Verdict: typeset(Printable(Verdict(c))),
		Gauge: gauge(c), Grey: typeset(cellGrey(c)), Do: typeset(cellAdvice(c)), Shadows: typeset(cellShadows(c)), Clipped: typeset(cellClipped(c)),
		Words: typeset(afterWords(c)),
	}
	if isFile(folder, clipPage(c.Path)) {
		t.Page = clipPage(c.Path)
	}
	if c.Pictures != nil {
		t.Picture = embedded(folder, c.Pictures.After)
		t.Alt = typeset("Take " + t.Letter + " " + t.Words + ", " + t.Clipped + " clipped.")
	}
	strips := newStripViews(folder, c)
	for k := range strips {
		if strips[k].Words == t.Words {
			t.Strip = &strips[k]
		}
	}
	return t
}

// A compareTable has a row a figure and a column a take; a difference stands under its value.
type compareTable struct {
	Letters []string
	Rows    []compareRow
}

type compareRow struct {
	Name  string
	Cells []compareCell
}

type compareCell struct {
	Value, Interval, Difference string
	Told                        bool
}

func newCompareTable(c Comparison) (t compareTable) {
	if len(c.Takes) == 0 {
		return t
	}
	for i := range c.Takes {
		t.Letters = append(t.Letters, letter(i))
	}
	for k, f := range c.Takes[0].Figures {
		row := compareRow{Name: typeset(figureName(f))}
		measured := false
		for i, take := range c.Takes {
			f := take.Figures[k]
			measured = measured || f.Value != nil
			row.Cells = append(row.Cells, newCompareCell(f, i))
		}
		if measured {
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

func newCompareCell(f Figure, take int) compareCell {
	cell := compareCell{Value: typeset(figureValue(f)), Interval: typeset(figureInterval(f))}
	if take == 0 || f.Difference == nil {
		return cell
	}
	cell.Difference = typeset(figureDifference(f)) + " from A"
	cell.Told = figureDifference(f) != "~"
	if !cell.Told {
		cell.Difference = "not told from A"
	}
	return cell
}

// figureInterval is the 95 % interval of a figure, "" where it is not known.
func figureInterval(f Figure) string {
	v := f.Value
	if v == nil || v.Low == nil || v.High == nil {
		return ""
	}
	switch f.Unit {
	case "dB":
		return decimal(*v.Low, 1, false, "") + " to " + decimal(*v.High, 1, false, "")
	case "share":
		return Share(*v.Low) + " to " + Share(*v.High)
	}
	digits := StopsDigits(*v.Low, *v.High)
	return decimal(*v.Low, digits, true, "") + " to " + decimal(*v.High, digits, true, "")
}
