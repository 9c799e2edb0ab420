package html

import (
	"math"

	"stopledger/analyze/advise"
	"stopledger/analyze/display"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// A ruler is the recording's whole range as a wedge of half stops, each as bright as it shows:
// once as recorded and, under it, after the correction. Positions are percent of its width.
type ruler struct {
	Wedges  []wedge
	Ticks   []tick
	Floor   *tick
	Ceiling *tick
	Grey    *tick
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

// newRuler lays out the ruler of a clip; nil when the ceiling is not known.
func newRuler(c *report.Clip) *ruler {
	ceiling := c.Highlights.Ceiling
	if !curve.Finite(ceiling.Recorded) || ceiling.Origin == "" {
		return nil
	}
	scale := rulerScale(c)
	shown := c.Advice.After.Display
	recorded := joined(", ", "as recorded", through(c))
	r := &ruler{Nominal: scale.at(0), Wedges: []wedge{{recorded, wedgeCells(scale, 0, shown)}}}
	if stops := c.Advice.Correction(); stops != 0 {
		r.Wedges = append(r.Wedges, wedge{text.Typeset(changeOf(c).After()), wedgeCells(scale, stops, shown)})
	}
	r.Ceiling = scale.tick(float64(ceiling.Recorded), "ceiling "+ceiling.Recorded.Signed(1), "end")
	if floor := c.Noise.Floor; curve.Finite(floor) {
		r.Floor = scale.tick(float64(floor), "floor "+floor.Signed(1), "start")
	}
	r.Ticks = scale.ticks()
	for i := range r.Ticks {
		r.Ticks[i].cross(r.Floor)
		r.Ticks[i].cross(r.Ceiling)
	}
	r.Says = "The recording's range in stops." + r.addGrey(c, scale)
	r.Says = text.Typeset(r.Says + " Ceiling at " + ceiling.Recorded.Signed(1) + ".")
	return r
}

// addGrey marks where grey landed and returns what that says.
func (r *ruler) addGrey(c *report.Clip, scale axis) string {
	p := c.Placement
	if p == nil || !curve.Finite(p.Stops) {
		return ""
	}
	anchor := "start" // the words of a mark run towards the middle of the ruler
	if p.Stops > 0 {
		anchor = "end"
	}
	r.Grey = scale.tick(float64(p.Stops), "grey "+greyWords(c), anchor)
	if curve.Finite(p.Low) && curve.Finite(p.High) && p.High > p.Low {
		low := scale.at(float64(p.Low))
		r.Span = &[2]float64{low, curve.Round(scale.at(float64(p.High))-low, 2)}
	}
	return " Grey at " + greyWords(c) + "."
}

// cross takes the words of a tick away where the line of a bound would run through them, on a wide
// page or only on a narrow one.
func (t *tick) cross(bound *tick) {
	const wide, narrow = 1.4, 3.5 // percent of the ruler that half the words, or all, take
	if bound == nil {
		return
	}
	if math.Abs(t.X-bound.X) < wide {
		t.Words = ""
	}
	t.Odd = t.Odd || math.Abs(t.X-bound.X) < narrow
}

// rulerScale returns whole stops that hold floor, ceiling and grey, and most recordings.
func rulerScale(c *report.Clip) axis {
	low, high := -8.0, math.Max(7, math.Ceil(float64(c.Highlights.Ceiling.Recorded)+0.4))
	if floor := float64(c.Noise.Floor); curve.Finite(floor) {
		low = math.Min(low, math.Floor(floor-0.4))
	}
	if p := c.Placement; p != nil && curve.Finite(p.Stops) {
		stops := float64(p.Stops)
		low, high = math.Min(low, math.Floor(stops-0.5)), math.Max(high, math.Ceil(stops+0.5))
	}
	return axis{math.Max(low, -14), math.Min(high, 14)}
}

// wedgeCells returns half stops, each with the code it shows as after an exposure change, through the
// display file where there is one.
func wedgeCells(scale axis, change curve.Stops, d *advise.OnDisplay) (cells []wedgeCell) {
	n := int(2 * (scale.high - scale.low))
	for i := range n {
		from, to := curve.Round(100*float64(i)/float64(n), 2), curve.Round(100*float64(i+1)/float64(n), 2)
		level := curve.Stops(scale.low+(float64(i)+0.5)/2) + change
		cells = append(cells, wedgeCell{from, curve.Round(to-from+0.06, 2), shownAs(d, level)}) // no seams
	}
	return cells
}

// shownAs is the 8-bit code that a neutral level shows as on the display.
func shownAs(d *advise.OnDisplay, level curve.Stops) uint8 {
	if d == nil || len(d.Tones) < 2 {
		return display.Code(level.Light())
	}
	i := 1
	for i < len(d.Tones)-1 && d.Tones[i].Level < level {
		i++
	}
	from, to := d.Tones[i-1], d.Tones[i]
	on := min(max(float64((level-from.Level)/(to.Level-from.Level)), 0), 1)
	percent := float64(from.Shows) + on*float64(to.Shows-from.Shows)
	return uint8(curve.Round(min(max(percent*float64(d.White)/100, 0), 100)*255/100, 0))
}
