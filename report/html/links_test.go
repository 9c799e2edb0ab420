package html

import (
	"cmp"
	"html"
	"math"
	"math/rand/v2"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

var (
	idOf    = regexp.MustCompile(`\sid="([^"]*)"`)
	linkOf  = regexp.MustCompile(`\shref="([^"]*)"`)
	namedBy = regexp.MustCompile(`\s(?:for|aria-labelledby|aria-describedby|aria-controls)="([^"]*)"`)
	image   = regexp.MustCompile(`<img [^>]*>`)
)

// pagesOf are the pages written of a document and a comparison, by their names.
func pagesOf(t *testing.T, dir string, doc *report.Document, c *report.Comparison) map[string]string {
	t.Helper()
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	pages := map[string]string{}
	if c != nil {
		if err := WriteComparison(dir, c); err != nil {
			t.Fatal(err)
		}
		pages[report.ComparePage] = written(t, dir, report.ComparePage)
	}
	pages[report.IndexPage] = written(t, dir, report.IndexPage)
	for i := range doc.Clips {
		name := report.ClipPage(doc.Clips[i].Path)
		pages[name] = written(t, dir, name)
	}
	return pages
}

// Every link of every page leads to a file of the report, or to a place on the page that is there;
// no place has its name twice, and what names another by it names one that is there.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	doc := reporttest.Shoot(t)
	for what, d := range map[string]*report.Document{"shoot": doc, "day": reporttest.Day(t),
		"unknown": reporttest.Unknown(math.NaN()), "empty": {Clips: []report.Clip{{}}}} {
		var c *report.Comparison
		if what == "shoot" {
			c = reporttest.ShootTakes(t, doc, 3)
		}
		dir := t.TempDir()
		for name, page := range pagesOf(t, dir, d, c) {
			markup := page[:max(0, strings.Index(page, "<style>"))] + page[strings.LastIndex(page, "</style>"):]
			ids := map[string]int{}
			for _, m := range idOf.FindAllStringSubmatch(markup, -1) {
				ids[m[1]]++
			}
			for id, n := range ids {
				if n > 1 || id == "" {
					t.Errorf("%s, %s: %d places are called %q", what, name, n, id)
				}
			}
			for _, m := range namedBy.FindAllStringSubmatch(markup, -1) {
				for _, id := range strings.Fields(m[1]) {
					if ids[id] == 0 {
						t.Errorf("%s, %s: there is no %q, which something is named by", what, name, id)
					}
				}
			}
			for _, m := range linkOf.FindAllStringSubmatch(markup, -1) {
				checkLink(t, dir, name, html.UnescapeString(m[1]), ids)
			}
		}
	}
}

func checkLink(t *testing.T, dir, page, link string, ids map[string]int) {
	t.Helper()
	u, err := url.Parse(link)
	switch {
	case err != nil || u.IsAbs() && u.Scheme != "data" || strings.HasPrefix(link, "/"):
		t.Errorf("%s leads to %.80s: %v", page, link, err)
	case u.Scheme == "data":
	case u.Path == "":
		if ids[u.Fragment] == 0 {
			t.Errorf("%s leads to %q on itself, which is not there", page, link)
		}
	default:
		to := filepath.Join(dir, filepath.FromSlash(path.Join(path.Dir(page), u.Path)))
		if _, err := os.Stat(to); err != nil {
			t.Errorf("%s leads to %q: %v", page, link, err)
		}
	}
}

// Every page has one heading of the first order, a language, a title, one policy, and no script of
// any attribute; every picture has words, or says that it needs none.
func TestPagesAreWhole(t *testing.T) {
	onEvent := regexp.MustCompile(`<[a-z][^>]*\son[a-z]+=`)
	doc := reporttest.Shoot(t)
	for name, page := range pagesOf(t, t.TempDir(), doc, reporttest.ShootTakes(t, doc, 2)) {
		for part, want := range map[string]int{"<h1": 1, "<title>": 1, "Content-Security-Policy": 1, "<html lang=": 1,
			"<main": 1, "</html>": 1, "<iframe": 0, "<form": 0, "<link rel=\"stylesheet\"": 0} {
			if got := strings.Count(page, part); got != want {
				t.Errorf("%s has %s %d times, want %d", name, part, got, want)
			}
		}
		for _, tag := range image.FindAllString(page, -1) {
			if !strings.Contains(tag, " alt=") {
				t.Errorf("%s: a picture without words: %.120s", name, tag)
			}
		}
		if at := onEvent.FindString(strings.ReplaceAll(page, "\n", " ")); at != "" && !strings.Contains(at, "<script") {
			t.Errorf("%s: a script in an attribute: %.200s", name, at)
		}
	}
}

// Keys that rows are sorted by are the numbers, in their order, and none where there is no number.
func TestRowsSortAsNumbers(t *testing.T) {
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 121))
		v := random.NormFloat64() * 10
		read, err := strconv.ParseFloat(key(v, 4), 64)
		if err != nil || math.Abs(read-v) > 0.5001e-4 {
			t.Errorf("%g sorts as %q", v, key(v, 4))
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := key(v, 4); got != "" {
			t.Errorf("%g sorts as %q", v, got)
		}
	}
}

// Findings stand by their gravity, in the document's order within one; a row tells two, and notes
// only where there is nothing graver.
func TestFindingsByGravity(t *testing.T) {
	levels := []advise.Level{advise.Note, advise.Caution, advise.Alarm}
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 122))
		c := &report.Clip{}
		for i := range random.IntN(7) {
			c.Advice.Findings = append(c.Advice.Findings, advise.Finding{Level: levels[random.IntN(3)],
				Text: "finding " + strconv.Itoa(i)})
		}
		got := findingsByLevel(c)
		sorted := slices.IsSortedFunc(got, func(a, b finding) int {
			return cmp.Or(cmp.Compare(slices.Index(levels, b.Level), slices.Index(levels, a.Level)),
				cmp.Compare(a.Text, b.Text))
		})
		if !sorted || len(got) != len(c.Advice.Findings) {
			t.Errorf("seed %d: %+v", seed, got)
		}
		told := mainFindings(got)
		graver := 0
		for _, f := range got {
			if f.Level != advise.Note {
				graver++
			}
		}
		if want := min(2, max(graver, min(1, len(got)))); len(told) != want {
			t.Errorf("seed %d: %q are told, want %d", seed, told, want)
		}
	}
}

// Every clip has one row, in the folder it lies in; the rows keep the order of the clips, and every
// clip that needs a person a card, or is counted.
func TestEveryClipHasARow(t *testing.T) {
	folder, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 123))
		doc := &report.Document{}
		alarms := 0
		for i := range random.IntN(60) {
			folder := string(rune('a' + random.IntN(4)))
			c := report.Clip{File: report.File{Path: "day/" + folder + "/t" + strconv.Itoa(i) + ".mov"}}
			if random.IntN(2) == 0 {
				c.Advice.Findings = []advise.Finding{{ID: "x", Level: advise.Alarm}}
				alarms++
			}
			doc.Clips = append(doc.Clips, c)
		}
		p := newIndex(folder, doc)
		places := map[string]bool{}
		before, alarm := -1, true // alarms come first, and of each kind the clips as they were listed
		for _, r := range p.Rows {
			at, err := strconv.Atoi(r.Place)
			isAlarm := r.Level == advise.Alarm
			if alarm && !isAlarm {
				alarm, before = false, -1
			}
			if err != nil || at <= before || isAlarm != alarm || r.Name != report.ClipName(doc.Clips[at].Path) ||
				!strings.HasSuffix(report.ClipDir(doc.Clips[at].Path), r.Folder) || places[r.Place] {
				t.Errorf("seed %d: in %q the row %s of %s", seed, r.Folder, r.Place, r.Name)
			}
			before, places[r.Place] = at, true
		}
		counted := 0
		for _, n := range p.Counts {
			counted += n.N
		}
		if len(places) != len(doc.Clips) || counted != len(doc.Clips) || len(p.Urgent)+p.More != alarms ||
			len(p.Urgent) > cardsShown {
			t.Errorf("seed %d: %d rows, %d counted of %d; %d cards and %d more of %d", seed, len(places), counted,
				len(doc.Clips), len(p.Urgent), p.More, alarms)
		}
	}
}

// Nothing stands outside the ruler, whatever was measured: marks within 0 to 100 %, in the order of
// their stops, and its cells side by side over all of it, brighter from left to right.
func TestRulerHoldsWhateverWasMeasured(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 124))
		c := &report.Clip{}
		c.Noise.Floor = curve.Stops(-14 + 10*random.Float64())
		c.Highlights.Ceiling = clipping.Ceiling{Recorded: curve.Stops(1 + 14*random.Float64()), Origin: clipping.Measured}
		grey := curve.Stops(6 * random.NormFloat64())
		c.Placement = &placement.Placement{Stops: grey, Low: grey - 0.2, High: grey + 0.2}
		r := newRuler(c)
		for _, mark := range []*tick{r.Floor, r.Ceiling, r.Grey} {
			if mark.X < 0 || mark.X > 100 {
				t.Errorf("seed %d: %q stands at %g %%", seed, mark.Words, mark.X)
			}
		}
		if grey > c.Noise.Floor != (r.Grey.X > r.Floor.X) && r.Grey.X != r.Floor.X {
			t.Errorf("seed %d: grey %v at %g %%, the floor %v at %g %%", seed, grey, r.Grey.X, c.Noise.Floor, r.Floor.X)
		}
		cells := r.Wedges[0].Cells
		for i, cell := range cells {
			if i > 0 && (cell.Grey < cells[i-1].Grey || cell.X > cells[i-1].X+cells[i-1].W) {
				t.Errorf("seed %d: cell %d is %+v after %+v", seed, i, cell, cells[i-1])
			}
		}
		if last := cells[len(cells)-1]; cells[0].X != 0 || last.X+last.W < 100 {
			t.Errorf("seed %d: the cells end at %g %%", seed, last.X+last.W)
		}
	}
}

// An interval's words read back as its ends; one without width or end has none.
func TestIntervalWordsReadBack(t *testing.T) {
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 125))
		low := curve.Stops(3 * random.NormFloat64())
		high := low + curve.Stops(0.01+random.Float64())
		from, to, _ := strings.Cut(intervalWords(low, high), " to ")
		a, errA := strconv.ParseFloat(from, 64)
		b, errB := strconv.ParseFloat(to, 64)
		if errA != nil || errB != nil || math.Abs(a-float64(low)) > 0.051 || math.Abs(b-float64(high)) > 0.051 {
			t.Errorf("%v to %v is %q", low, high, intervalWords(low, high))
		}
	}
	unknown := curve.Unknown[curve.Stops]()
	for _, ends := range [][2]curve.Stops{{1, 1}, {2, 1}, {unknown, 1}, {1, unknown}} {
		if got := intervalWords(ends[0], ends[1]); got != "" {
			t.Errorf("%v: %q", ends, got)
		}
	}
}
