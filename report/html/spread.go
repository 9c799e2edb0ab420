package html

import (
	"fmt"
	"math"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// A spread shows where grey landed in all clips at once, as columns of quarter stops. Positions
// are percent of its width, heights are pixels.
type spread struct {
	Columns []spreadColumn
	Ticks   []tick
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
func newSpread(clips []report.Clip) *spread {
	counts := map[int]int{}
	most, found, reach := 0, 0, spreadReach
	for _, c := range clips {
		if c.Placement == nil || !curve.Finite(c.Placement.Stops) {
			continue
		}
		stops := math.Min(math.Max(float64(c.Placement.Stops), gaugeLow), gaugeHigh)
		bin := int(math.Round(stops / spreadStep))
		counts[bin]++
		found++
		most, reach = max(most, counts[bin]), math.Max(reach, math.Ceil(math.Abs(stops)+spreadStep))
	}
	if found < 2 {
		return nil
	}
	v := &spread{Zero: 50, Without: len(clips) - found}
	tall := math.Min(spreadPiece, spreadTall/float64(most))
	v.Base = math.Ceil(tall*float64(most)) + 18 // room for a count
	v.Height = v.Base + 24                      // and for the words of the axis
	scale := axis{-reach, reach}
	wide := scale.at(spreadStep*0.44) - scale.at(-spreadStep*0.44)
	for bin := int(-reach / spreadStep); bin <= int(reach/spreadStep); bin++ {
		if n := counts[bin]; n > 0 {
			x := scale.at((float64(bin) - 0.44) * spreadStep)
			v.Columns = append(v.Columns, spreadColumn{x, wide, curve.Round(tall*float64(n), 1), n})
		}
	}
	v.Ticks = scale.ticks()
	v.Says = fmt.Sprintf("Where grey landed in %s, by quarter stops from nominal.", text.Plural(found, "clip"))
	return v
}
