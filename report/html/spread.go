package html

import (
	"fmt"
	"math"

	"stopledger/analyze/placement"
	"stopledger/curve"
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

// A landing counts where grey landed in clips.
type landing struct {
	counts      map[int]int // by steps from nominal
	most, found int         // in one step, in all
	without     int         // clips without grey
	reach       float64     // stops from nominal of the farthest
}

func (l *landing) add(p *placement.Placement) {
	if p == nil || !curve.Finite(p.Stops) {
		l.without++
		return
	}
	if l.found++; l.found == 1 {
		l.counts = map[int]int{}
	}
	stops := math.Min(math.Max(float64(p.Stops), gaugeLow), gaugeHigh)
	bin := int(math.Round(stops / spreadStep))
	l.counts[bin]++
	l.most, l.reach = max(l.most, l.counts[bin]), math.Max(l.reach, math.Ceil(math.Abs(stops)+spreadStep))
}

// spread draws it; nil when fewer than two clips have grey.
func (l *landing) spread() *spread {
	if l.found < 2 {
		return nil
	}
	counts, reach := l.counts, math.Max(spreadReach, l.reach)
	v := &spread{Zero: 50, Without: l.without}
	tall := math.Min(spreadPiece, spreadTall/float64(l.most))
	v.Base = math.Ceil(tall*float64(l.most)) + 18 // room for a count
	v.Height = v.Base + 24                        // and for the words of the axis
	scale := axis{-reach, reach}
	wide := scale.at(spreadStep*0.44) - scale.at(-spreadStep*0.44)
	for bin := int(-reach / spreadStep); bin <= int(reach/spreadStep); bin++ {
		if n := counts[bin]; n > 0 {
			x := scale.at((float64(bin) - 0.44) * spreadStep)
			v.Columns = append(v.Columns, spreadColumn{x, wide, curve.Round(tall*float64(n), 1), n})
		}
	}
	v.Ticks = scale.ticks()
	v.Says = fmt.Sprintf("Where grey landed in %s, by quarter stops from nominal.", text.Plural(l.found, "clip"))
	return v
}
