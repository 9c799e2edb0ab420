package html

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"stopledger/curve"
	"stopledger/report"
)

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
