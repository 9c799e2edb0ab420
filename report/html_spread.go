package report

import (
	"fmt"
	"math"
)

// A spreadView shows where grey landed in all clips at once, as columns of quarter stops.
// Positions are percent of its width, heights are pixels.
type spreadView struct {
	Columns []spreadColumn
	Ticks   []rulerTick
	Zero    float64
	Says    string
	Without int     // clips in which no grey was found
	Base    float64 // where the axis lies, pixels from the top
	Height  float64
}

type spreadColumn struct {
	X, W, Height float64
	Count        int
}

const (
	spreadStep  = 0.25 // stops
	spreadReach = 3.0  // stops either way, at least
	spreadTall  = 72.0 // pixels of the tallest column
	spreadPiece = 12.0 // pixels to the clip while there are few
)

// newSpread counts the placements of clips; nil when fewer than two have one.
func newSpread(clips []Clip) *spreadView {
	counts := map[int]int{}
	most, found, reach := 0, 0, spreadReach
	for _, c := range clips {
		if c.Placement == nil || !finite(c.Placement.Stops) {
			continue
		}
		stops := math.Min(math.Max(c.Placement.Stops, gaugeLow), gaugeHigh)
		bin := int(math.Round(stops / spreadStep))
		counts[bin]++
		found++
		most, reach = max(most, counts[bin]), math.Max(reach, math.Ceil(math.Abs(stops)+spreadStep))
	}
	if found < 2 {
		return nil
	}
	v := &spreadView{Zero: 50, Without: len(clips) - found}
	scale := math.Min(spreadPiece, spreadTall/float64(most))
	v.Base = math.Ceil(scale*float64(most)) + 18 // room for a count
	v.Height = v.Base + 24                       // and for the words of the axis
	at := func(stops float64) float64 { return roundTo(50+50*stops/reach, 2) }
	for bin := int(-reach / spreadStep); bin <= int(reach/spreadStep); bin++ {
		if n := counts[bin]; n > 0 {
			stops := float64(bin) * spreadStep
			v.Columns = append(v.Columns, spreadColumn{at(stops - spreadStep*0.44), at(spreadStep*0.44) - at(-spreadStep*0.44),
				roundTo(scale*float64(n), 1), n})
		}
	}
	for stops := -reach; stops <= reach; stops++ {
		v.Ticks = append(v.Ticks, rulerTick{at(stops), typeset(decimal(stops, 0, stops != 0, "")), edgeAnchor(stops, -reach, reach), false})
	}
	v.Says = fmt.Sprintf("Where grey landed in %s, by quarter stops from nominal.", plural(found, "clip"))
	return v
}

// edgeAnchor keeps the words of the first and the last tick inside the drawing.
func edgeAnchor(v, low, high float64) string {
	switch v {
	case low:
		return "start"
	case high:
		return "end"
	}
	return "middle"
}
