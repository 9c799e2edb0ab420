package html

import (
	"fmt"
	"strings"

	"stopledger/report"
)

// seenSize returns the frame's size as a person sees it, after its rotation.
func seenSize(c *report.Clip) (w, h int) {
	w, h = max(c.Width, 1), max(c.Height, 1)
	if c.Rotation == 90 || c.Rotation == 270 {
		w, h = h, w
	}
	return w, h
}

// greyOutline returns the polygon in which grey was found, in pixels of the frame as seen.
func greyOutline(c *report.Clip) string {
	p := c.Placement
	if p == nil || p.Carried != "" {
		return ""
	}
	corners := p.Corners
	if r := p.Region; len(corners) < 3 && r != nil {
		corners = [][2]int{{r.X, r.Y}, {r.X + r.W, r.Y}, {r.X + r.W, r.Y + r.H}, {r.X, r.Y + r.H}}
	}
	var points []string
	for _, k := range corners {
		x, y := turnedPoint(c, k[0], k[1])
		points = append(points, fmt.Sprintf("%d,%d", x, y))
	}
	return strings.Join(points, " ")
}

// turnedPoint returns where a point of the frame as coded lies in the frame as seen.
func turnedPoint(c *report.Clip, x, y int) (int, int) {
	switch c.Rotation {
	case 90:
		return c.Height - y, x
	case 180:
		return c.Width - x, c.Height - y
	case 270:
		return y, c.Width - x
	}
	return x, y
}
