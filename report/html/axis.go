package html

import (
	"math"

	"stopledger/curve"
	"stopledger/report/text"
)

// A tick is a mark with words on a scale drawn by a page; X is percent of its width.
type tick struct {
	X      float64
	Words  string
	Anchor string // where the words start from: start, middle, end
	Odd    bool   // left out where there is little room
}

// An axis takes stops from low to high to percent of its width.
type axis struct{ low, high float64 }

// at returns where a level lies, the ends for what lies beyond.
func (a axis) at(stops float64) float64 {
	return curve.Round(100*(math.Min(math.Max(stops, a.low), a.high)-a.low)/(a.high-a.low), 2)
}

func (a axis) tick(stops float64, words, anchor string) *tick {
	return &tick{a.at(stops), text.Typeset(words), anchor, math.Mod(stops, 2) != 0}
}

// ticks marks every whole stop.
func (a axis) ticks() (ticks []tick) {
	for v := a.low; v <= a.high; v++ {
		ticks = append(ticks, *a.tick(v, stopLabel(v), a.edgeAnchor(v)))
	}
	return ticks
}

func stopLabel(v float64) string {
	if v == 0 {
		return "0"
	}
	return text.Signed(v, 0, "")
}

// edgeAnchor keeps the words of the first and the last tick inside the drawing.
func (a axis) edgeAnchor(v float64) string {
	switch v {
	case a.low:
		return "start"
	case a.high:
		return "end"
	}
	return "middle"
}
