package html

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"stopledger/report"
	"stopledger/report/chart"
	"stopledger/report/text"
)

// A sheet is a page of plots and tables.
type sheet struct {
	frame
	Headline string
	Rest     string
	Sections []section
	Unread   []report.Failure // files that could not be read
	Audits   []string         // folders that were read
}

// A section is a part of a sheet.
type section struct {
	ID       string
	Title    string
	Pairs    []pair
	Drawings []chart.Drawing
	Table    chart.Grid
	Small    string // what is to be known of it
}

// A pair is a clip's picture before and after.
type pair struct {
	Name, Words   string
	Before, After template.URL // After is empty where nothing is applied
	Width, Height int
}

func newSheet(title string, tool report.Tool, headline, rest string) sheet {
	return sheet{frame: newFrame(title, tool, []string{"base.css", "index.css", "clip.css"}, nil),
		Headline: typeset(headline), Rest: typeset(rest)}
}

// add adds a section, unless it is empty.
func (s *sheet) add(one section) {
	if len(one.Pairs)+len(one.Drawings)+len(one.Table.Rows) > 0 {
		one.Table, one.Small = one.Table.Typeset(), typeset(one.Small)
		s.Sections = append(s.Sections, one)
	}
}

func (s sheet) write(path string) error { return writePage(path, "sheet", s) }

// WriteDays writes a page of many audits by day: timelines, and a table of days, cameras and ISOs.
func WriteDays(path string, d *report.Days) error {
	s := newSheet("Exposure by day", d.Tool, daysHeadline(d), text.DaysSummary(d))
	s.add(section{ID: "timeline", Title: "Day by day", Drawings: chart.OfDays(d)})
	s.add(section{ID: "numbers", Title: "By day, camera and ISO",
		Table: chart.Grid{Head: text.DayHeads, Rows: text.DayRows(d)},
		Small: "Medians of the clips; grey also from the least to the most, and the most that clipped. Grey is in stops " +
			"over nominal, of clips with a card, chart, region or face; the floor in recorded stops; clipped is a share " +
			"of the frame in any channel."})
	for _, dir := range d.Audits {
		s.Audits = append(s.Audits, typeset(dir))
	}
	for _, f := range d.Unread {
		s.Unread = append(s.Unread, report.Failure{Path: typeset(f.Path), Error: typeset(f.Error)})
	}
	return s.write(path)
}

// daysHeadline says from when to when, and what was asked for.
func daysHeadline(d *report.Days) string {
	if len(d.Days) == 0 {
		return "No clip was recorded then"
	}
	var of []string
	if d.Camera != "" {
		of = append(of, fmt.Sprintf("of cameras named %q", d.Camera))
	}
	first, last := d.Days[0].Date, d.Days[len(d.Days)-1].Date
	when := "Exposure from " + first + " to " + last
	if first == last {
		when = "Exposure on " + first
	}
	return strings.Join(append([]string{when}, of...), " ")
}

// WritePlan writes a page of a plan: what each ISO holds, placements with their zebras, ISOs at equal light.
func WritePlan(w io.Writer, p *report.Plan) error {
	s := newSheet("Exposure plan", p.Tool, "Exposure plan: "+text.PlanTitle(p), p.Advice)
	s.add(section{ID: "isos", Title: "What each ISO holds", Table: chart.Grid{Head: text.ChoiceHeads,
		Rows: text.ChoiceRows(p)}, Small: "In stops: grey over nominal as recommended, and from the placement at which " +
		"the scene's low end is clean enough to the one at which its high end still has its reserve."})
	s.add(section{ID: "placements", Title: "Placements", Table: chart.Grid{Head: text.PlacementHeads(p),
		Rows: text.PlacementRows(p.Rows)}, Small: text.PlanNotes(p)})
	if p.Night != nil {
		s.add(section{ID: "night", Title: text.NightTitle(p), Table: chart.Grid{Head: text.PlacementHeads(p),
			Rows: text.PlacementRows(p.Night.Rows)}, Small: "Iris, shutter and lamps as they are: only gain differs."})
	}
	return templates().ExecuteTemplate(w, "sheet.html", s)
}

// WriteProfile writes a page of a camera's profile: noise and usable range against ISO, and the numbers.
func WriteProfile(w io.Writer, p *report.Profile) error {
	s := newSheet("Camera profile", p.Tool, text.ProfileSummary(p), strings.Join(p.Notes, " "))
	s.add(section{ID: "plots", Title: "By ISO", Drawings: chart.OfProfile(p)})
	s.add(section{ID: "numbers", Title: "Measured", Table: chart.Grid{Head: text.ProfileHeads, Rows: text.ProfileRows(p)},
		Small: "Noise is of the camera before coding, in light with 0.18 at nominal grey; floor and ceiling are recorded " +
			"stops; noise before gain is in stops against the lowest ISO."})
	s.add(section{ID: "exposures", Title: "Over by light, over by gain",
		Table: chart.Grid{Head: text.ExposureHeads, Rows: text.ExposureRows(p)}, Small: text.ExposureNote})
	return templates().ExecuteTemplate(w, "sheet.html", s)
}

// A Shown is a clip as a page of matches shows it.
type Shown struct {
	Path          string // of the clip
	Before, After []byte // JPEG; After is empty where nothing is applied
	Width, Height int
}

// WriteMatches writes a page of clips that are brought to one: in a row before and after, and as a table.
func WriteMatches(path string, m *report.Matching, shown []Shown) error {
	to := ""
	for _, x := range m.Matches {
		to = report.ClipName(x.To)
	}
	s := newSheet("Clips matched", m.Tool, "Matched to "+to, "The exposure that brings each clip to it, in stops.")
	words := map[string]string{}
	for _, x := range m.Matches {
		words[x.Path] = text.MatchWords(x)
	}
	var pairs []pair
	for _, v := range shown {
		said, matched := words[v.Path]
		if !matched {
			said = "the clip that the others are brought to"
		}
		pairs = append(pairs, pair{typeset(report.ClipName(v.Path)), typeset(said), jpegURL(v.Before), jpegURL(v.After),
			v.Width, v.Height})
	}
	s.add(section{ID: "clips", Title: "Before and after", Pairs: pairs,
		Small: "Left as recorded, right with the offset applied, through the same display rendering."})
	s.add(section{ID: "numbers", Title: "Offsets", Table: chart.Grid{Head: text.MatchHeads, Rows: text.MatchRows(m)},
		Small: "In stops to apply; + makes lighter. The interval holds the true offset in 95 of 100 cases."})
	for _, f := range m.Failed {
		s.Unread = append(s.Unread, report.Failure{Path: typeset(f.Path), Error: typeset(f.Error)})
	}
	return s.write(path)
}
