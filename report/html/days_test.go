package html

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"stopledger/curve"
	"stopledger/report"
)

// months are invented days of two cameras, one of which is named as nobody should name one.
func months() *report.Days {
	r := rand.New(rand.NewPCG(1, 2))
	d := &report.Days{Schema: report.DaysSchema, Tool: report.Tool{Name: "stopledger", Version: "test"},
		Audits: []string{"day01", "day<b>02"},
		Unread: []report.Failure{{Path: "day03", Error: "it is damaged"}}}
	for i := range 40 {
		date := time.Date(2026, 9, 1+i, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
		day := report.Day{Date: date, Zones: []string{"+02:00"}}
		for k, camera := range []string{"Larkspur One", "Teasel <script>alert(1)</script>"} {
			if r.IntN(3) == 0 {
				continue
			}
			p, f, c := r.NormFloat64()/2+1.2*float64(k), -5.5+r.NormFloat64()/5, max(0, r.NormFloat64()/60)
			g := report.Group{Camera: camera, ISO: 800 * (1 + 3*k), Curves: []string{"V-Log"}, Clips: 9, NoGrey: 2,
				Placement: apart(curve.Stops(p), 0.4), Floor: apart(curve.Stops(f), 0.1), Clipped: apart(curve.Share(c), 0)}
			g.Clipped.Most += 0.02
			if i == 7 {
				none := curve.Unknown[curve.Stops]()
				g.Placement = report.Span[curve.Stops]{Median: none, Least: none, Most: none}
			}
			day.Groups = append(day.Groups, g)
			day.Clips, d.Clips = day.Clips+9, d.Clips+9
		}
		if day.Clips > 0 {
			d.Days = append(d.Days, day)
		}
	}
	return d
}

func apart[T ~float64](v, half T) report.Span[T] {
	return report.Span[T]{Median: v, Least: v - half, Most: v + half, Clips: 7}
}

func daysPage(t *testing.T, d *report.Days) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "days.html")
	if err := WriteDays(path, d); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// The page has the three timelines and a row for each day, camera and ISO; nothing that a ledger says
// is markup.
func TestDaysPage(t *testing.T) {
	d := months()
	page := daysPage(t, d)
	for _, part := range []string{"Placement by day", "Noise floor by day", "Clipped by day", "Could not be read",
		"Larkspur", "Exposure from 2026", "UTC"} {
		if !strings.Contains(page, part) {
			t.Errorf("the page does not say %q", part)
		}
	}
	if strings.Contains(page, "<script>alert") || strings.Contains(page, "<b>02") || strings.Contains(page, "NaN") {
		t.Error("the page holds markup of a ledger, or a number that is none")
	}
	rows := 0
	for _, day := range d.Days {
		rows += len(day.Groups)
	}
	if got := strings.Count(page, "<tr><th scope=\"row\">2026-"); got != rows {
		t.Errorf("%d rows of %d", got, rows)
	}
}

// A page of one day, and of none.
func TestFewDays(t *testing.T) {
	d := months()
	d.Days = d.Days[:1]
	if page := daysPage(t, d); !strings.Contains(page, "Exposure on 2026") || !strings.Contains(page, "Placement by day") {
		t.Error("one day has no timeline")
	}
	d.Days = nil
	if page := daysPage(t, d); strings.Contains(page, "by day, camera") || !strings.Contains(page, "No clip") {
		t.Error("no day has a table")
	}
}
