// Package chart draws what was measured of a clip, and of takes side by side, as plots for pages:
// inline SVG with the numbers behind it and a sentence that says what it shows.
package chart

import (
	"html/template"

	"stopledger/analyze/advise"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// A Drawing is a plot with the words and numbers behind it.
type Drawing struct {
	ID    string        // unique on a page
	Title string        // of its figure
	Says  string        // what it shows, with its numbers, for who cannot see it
	SVG   template.HTML // takes its colours and typeface from the page
	Keys  []Key         // of its lines and dots
	Table Grid          // the numbers
}

// A Key names a line or a row of dots of a plot. Its shape tells it without its colour.
type Key struct {
	Shape string // dots, line, dashes, disc, square, triangle, saltire
	Ink   string // property of the style sheet
	Words string // what it stands for
}

// A Grid is a table as text. The first cell of each row is its head.
type Grid struct {
	Head []string   // of its columns
	Rows [][]string // cells, as many as heads
}

// Typeset returns the grid with its cells made printable and typeset.
func (g Grid) Typeset() Grid {
	for _, row := range g.Rows {
		for i := range row {
			row[i] = text.Typeset(metadata.Printable(row[i]))
		}
	}
	return g
}

// after names the state after the advised correction.
func after(c *report.Clip) string { return c.Advice.Change(c.Placement).After() }

func greyWords(c *report.Clip) string { return advise.Grey(c.Placement) }
