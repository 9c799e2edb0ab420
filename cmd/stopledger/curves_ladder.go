package main

import (
	"encoding/csv"
	"io"
	"math"
	"slices"
	"strconv"

	"stopledger/curve"
)

// ladderBottom is the lowest stop of a ladder.
const ladderBottom = -8

// sameStep is how far apart, in stops, two steps print alike.
const sameStep = 0.005

// A ladderStep is one level of light on a curve.
type ladderStep struct {
	Mark          string   `json:"mark,omitempty"` // black, mid grey, over or ceiling
	Stops         *float64 `json:"recorded_stops"` // null for black
	Linear        *float64 `json:"linear"`
	Code          *float64 `json:"code"` // 10-bit; null past the ceiling
	Percent       *float64 `json:"percent"`
	Code8         *float64 `json:"code_8_bit"`
	StopsAPercent *float64 `json:"stops_per_percent"` // null for black
}

// A ladder is one curve stop by stop, schema "stopledger/curve/1".
type ladder struct {
	Schema    string       `json:"schema"`
	Curve     curveEntry   `json:"curve"`
	OverStops *float64     `json:"over_stops,omitempty"`
	Ladder    []ladderStep `json:"ladder"`
}

// newLadder steps from black and -8 stops to the ceiling, in whole stops.
func newLadder(c *curve.Curve, o curvesOptions) ladder {
	r := o.reading(c)
	l := ladder{Schema: "stopledger/curve/1", Curve: newCurveEntry(c, o), OverStops: o.over}
	top := curve.ToStops(ceilingLight(r))
	for s := float64(ladderBottom); s < top-sameStep; s++ {
		mark := ""
		if s == 0 {
			mark = "mid grey"
		}
		l.Ladder = append(l.Ladder, stepAt(r, s, mark))
	}
	l.Ladder = append(l.Ladder, stepAt(r, top, "ceiling"))
	if o.over != nil {
		l.addOver(r, *o.over)
	}
	l.Ladder = slices.Insert(l.Ladder, 0, stepAt(r, math.Inf(-1), "black"))
	return l
}

// addOver marks the step of grey exposed over nominal, or puts one in its place.
func (l *ladder) addOver(r curve.Reading, over float64) {
	at, found := slices.BinarySearchFunc(l.Ladder, over, func(s ladderStep, over float64) int {
		switch {
		case math.Abs(*s.Stops-over) < sameStep:
			return 0
		case *s.Stops < over:
			return -1
		}
		return 1
	})
	if !found {
		l.Ladder = slices.Insert(l.Ladder, at, stepAt(r, over, "over"))
	} else if l.Ladder[at].Mark == "" {
		l.Ladder[at].Mark = "over"
	}
}

func stepAt(r curve.Reading, stops float64, mark string) ladderStep {
	light := curve.FromStops(stops)
	level := levelAt(r, light)
	s := ladderStep{Mark: mark, Stops: rounded(stops, 2), Linear: significant(light, 4), Code: level.Code, Percent: level.Percent}
	if level.Code == nil {
		return s
	}
	eight := r
	eight.Bits = 8
	s.Code8 = rounded(min(eight.CodeOf(light), 255), 2)
	s.StopsAPercent = rounded(stopsAPercent(r, light), 4)
	return s
}

// stopsAPercent is how many stops one percent of video level is worth at a level of light: the
// derivative of log2 of the light by the level.
func stopsAPercent(r curve.Reading, light float64) float64 {
	code := r.CodeOf(light)
	percentACode := r.Percent(code+1) - r.Percent(code)
	return r.LinearPerCode(code) / (light * math.Ln2) / percentACode
}

// significant rounds to digits that count.
func significant(v float64, digits int) *float64 {
	if v == 0 {
		return &v
	}
	return rounded(v, digits-1-int(math.Floor(math.Log10(math.Abs(v)))))
}

func (l ladder) write(w io.Writer, format string) error {
	switch format {
	case "json":
		return writeIndented(w, l)
	case "csv":
		return l.writeCSV(w)
	}
	return l.writeText(w)
}

func (l ladder) writeCSV(w io.Writer) error {
	rows := [][]string{{"curve", "mark", "recorded_stops", "linear", "code", "percent", "code_8_bit", "stops_per_percent"}}
	for _, s := range l.Ladder {
		rows = append(rows, []string{l.Curve.Name, s.Mark, csvNumber(s.Stops), csvNumber(s.Linear),
			csvNumber(s.Code), csvNumber(s.Percent), csvNumber(s.Code8), csvNumber(s.StopsAPercent)})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// printedNumber formats a number with a fixed number of decimals, "-" for none.
func printedNumber(v *float64, digits int) string {
	if v == nil {
		return "-"
	}
	return strconv.FormatFloat(*v, 'f', digits, 64)
}
