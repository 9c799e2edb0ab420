package report

import (
	"math"
)

// A ruler is the recording's whole range as a wedge of half stops, each as bright as it shows:
// once as recorded and, under it, after the correction. Positions are percent of its width.
type ruler struct {
	Wedges  []wedge
	Ticks   []rulerTick
	Floor   *rulerTick
	Ceiling *rulerTick
	Grey    *rulerTick
	Span    *[2]float64 // of grey's interval
	Nominal float64
	Says    string
}

type wedge struct {
	Caption string
	Cells   []wedgeCell
}

type wedgeCell struct {
	X, W float64
	Grey uint8
}

type rulerTick struct {
	X      float64
	Words  string
	Anchor string // where the words start from: start, middle, end
	Odd    bool   // left out where there is little room
}

// newRuler lays out the ruler of a clip; nil when the ceiling is not known.
func newRuler(c Clip) *ruler {
	ceiling := c.Highlights.Ceiling
	if !finite(ceiling.RecordedStops) || ceiling.Origin == "" {
		return nil
	}
	low, high := rulerRange(c)
	at := func(stops float64) float64 {
		return roundTo(100*(math.Min(math.Max(stops, low), high)-low)/(high-low), 2)
	}
	tick := func(stops float64, words, anchor string) *rulerTick {
		return &rulerTick{at(stops), typeset(words), anchor, math.Mod(stops, 2) != 0}
	}
	r := &ruler{Nominal: at(0), Wedges: []wedge{{"as recorded", wedgeCells(low, high, 0)}}}
	if stops := correctionStops(c); stops != 0 {
		r.Wedges = append(r.Wedges, wedge{typeset(afterWords(c)), wedgeCells(low, high, stops)})
	}
	r.Ceiling = tick(ceiling.RecordedStops, "ceiling "+SignedStops(ceiling.RecordedStops, 1), "end")
	if floor, ok := known(c.Noise.FloorStops); ok {
		r.Floor = tick(floor, "floor "+SignedStops(floor, 1), "start")
	}
	for v := low; v <= high; v++ {
		t := tick(v, decimal(v, 0, v != 0, ""), edgeAnchor(v, low, high))
		for _, bound := range []*rulerTick{r.Floor, r.Ceiling} {
			crossWords(t, bound)
		}
		r.Ticks = append(r.Ticks, *t)
	}
	r.Says = "The recording's range in stops."
	if p := c.Placement; p != nil && finite(p.Stops) {
		r.Grey = tick(p.Stops, "grey "+cellGrey(c), anchorFor(p.Stops))
		if finite(p.Low) && finite(p.High) && p.High > p.Low {
			r.Span = &[2]float64{at(p.Low), roundTo(at(p.High)-at(p.Low), 2)}
		}
		r.Says += " Grey at " + cellGrey(c) + "."
	}
	r.Says = typeset(r.Says + " Ceiling at " + SignedStops(ceiling.RecordedStops, 1) + ".")
	return r
}

// crossWords takes the words of a tick away where the line of a bound would run through them, on
// a wide page or only on a narrow one.
func crossWords(t, bound *rulerTick) {
	const wide, narrow = 1.4, 3.5 // percent of the ruler that half the words, or all, take
	if bound == nil {
		return
	}
	if math.Abs(t.X-bound.X) < wide {
		t.Words = ""
	}
	t.Odd = t.Odd || math.Abs(t.X-bound.X) < narrow
}

// rulerRange returns whole stops that hold floor, ceiling and grey, and most recordings.
func rulerRange(c Clip) (low, high float64) {
	low, high = -8, math.Max(7, math.Ceil(c.Highlights.Ceiling.RecordedStops+0.4))
	if floor, ok := known(c.Noise.FloorStops); ok {
		low = math.Min(low, math.Floor(floor-0.4))
	}
	if p := c.Placement; p != nil && finite(p.Stops) {
		low, high = math.Min(low, math.Floor(p.Stops-0.5)), math.Max(high, math.Ceil(p.Stops+0.5))
	}
	return math.Max(low, -14), math.Min(high, 14)
}

// wedgeCells returns half stops from low to high, each with the code it shows as after an
// exposure change.
func wedgeCells(low, high, change float64) (cells []wedgeCell) {
	n := int(2 * (high - low))
	for i := range n {
		from, to := roundTo(100*float64(i)/float64(n), 2), roundTo(100*float64(i+1)/float64(n), 2)
		light := nominalGrey * math.Exp2(low+(float64(i)+0.5)/2+change)
		cells = append(cells, wedgeCell{from, roundTo(to-from+0.06, 2), displayCode(float32(light))}) // no seams
	}
	return cells
}

// anchorFor lets the words of a mark run towards the middle of the ruler.
func anchorFor(stops float64) string {
	if stops > 0 {
		return "end"
	}
	return "start"
}
