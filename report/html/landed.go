package html

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"stopledger/analyze/placement"
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
	Weak    int     // clips whose grey is weak
	Base    float64 // where the axis lies, pixels from the top
	Height  float64
}

// A column is of the clips in one quarter stop; those whose grey is weak stand on the others, hollow.
type spreadColumn struct {
	X, W, Height float64
	Firm, Weak   float64 // heights of both
	Count        int     // of all
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
	weak        map[int]int // of those, where the evidence is weak
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
		l.counts, l.weak = map[int]int{}, map[int]int{}
	}
	stops := math.Min(math.Max(float64(p.Stops), gaugeLow), gaugeHigh)
	bin := int(math.Round(stops / spreadStep))
	l.counts[bin]++
	if p.Weak {
		l.weak[bin]++
	}
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
			all, weak := curve.Round(tall*float64(n), 1), curve.Round(tall*float64(l.weak[bin]), 1)
			v.Columns = append(v.Columns, spreadColumn{x, wide, all, curve.Round(all-weak, 1), weak, n})
			v.Weak += l.weak[bin]
		}
	}
	v.Ticks = scale.ticks()
	v.Says = fmt.Sprintf("Where grey landed in %s, by quarter stops from nominal.", text.Plural(l.found, "clip"))
	if v.Weak > 0 {
		v.Says += fmt.Sprintf(" In %d of them the evidence is weak.", v.Weak)
	}
	return v
}

// The gauge of the index has one scale for all clips, so that a column of them can be read down.
const (
	gaugeLow   = -8.0 // recorded stops
	gaugeHigh  = 8.0
	gaugeStop  = 11 // pixels to the stop
	gaugeWidth = (gaugeHigh - gaugeLow) * gaugeStop
)

func gaugeX(stops curve.Stops) float64 {
	return curve.Round((float64(min(max(stops, gaugeLow), gaugeHigh))-gaugeLow)*gaugeStop, 1)
}

// gauge draws where grey landed between floor and ceiling: a bar for the interval and a lozenge at
// the value, hollow where the evidence is weak. The ticks behind it, one a stop and a tall one at
// nominal, are drawn by the style sheet, which is quicker than 2,000 times the same lines.
func gauge(c *report.Clip) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="gauge" width="%g" height="26" viewBox="0 0 %[1]g 26" aria-hidden="true">`, gaugeWidth)
	if floor := c.Noise.Floor; curve.Finite(floor) && floor > gaugeLow {
		fmt.Fprintf(&b, `<rect class="under" width="%g" height="9" y="13"/>`, gaugeX(floor))
	}
	if ceiling := c.Highlights.Ceiling.Recorded; curve.Finite(ceiling) && ceiling < gaugeHigh {
		x := gaugeX(ceiling)
		fmt.Fprintf(&b, `<rect class="over" x="%g" width="%g" height="9" y="13"/>`, x, math.Round((gaugeWidth-x)*10)/10)
	}
	if p := c.Placement; p != nil && curve.Finite(p.Stops) {
		if curve.Finite(p.Low) && curve.Finite(p.High) && p.High > p.Low {
			fmt.Fprintf(&b, `<path class="span" d="M%g 8.5H%g"/>`, gaugeX(p.Low), gaugeX(p.High))
		}
		weak := ""
		if p.Weak {
			weak = " weak"
		}
		fmt.Fprintf(&b, `<path class="value%s" d="M%g 2.5l5 6-5 6-5-6z"/>`, weak, gaugeX(p.Stops))
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}
