package html

import (
	"fmt"
	"strings"

	"stopledger/analyze/placement"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
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

// A candidate is an area that may be a grey card, to be confirmed by who looks at it.
type candidate struct{ Words, Region string }

// candidates are the areas that grey may be read from in a clip, those of its own that are not grey left out.
func candidates(c *report.Clip) (list []candidate) {
	if c.Placement == nil || c.Placement.Carried != "" {
		return nil
	}
	for _, k := range c.Placement.Candidates {
		if r := k.Region; r != nil && (k.Method == placement.Card || k.Method == placement.Region) {
			words := text.Typeset(string(k.Method) + ", " + k.Stops.Signed(2))
			list = append(list, candidate{words, fmt.Sprintf("%d,%d,%d,%d", r.X, r.Y, r.W, r.H)})
		}
	}
	return list
}

// auditCommand is what measures a clip once more, up to its flags, and its path as a shell takes it. What
// the user named for the clip to be read by is named again.
func auditCommand(c *report.Clip, read metadata.ReadAs) (command, path string) {
	command = "stopledger audit"
	for _, flag := range []struct{ name, value string }{
		{"--curve", read.Curve.Given}, {"--assume", read.Assume.Given},
		{"--range", string(read.Range)}, {"--matrix", string(read.Matrix)},
	} {
		if flag.value != "" && flag.value != metadata.Auto {
			command += " " + flag.name + " " + shellWord(flag.value)
		}
	}
	if read.Index > 0 {
		command += fmt.Sprintf(" --ei %d", read.Index)
	}
	path = c.Path
	if strings.HasPrefix(path, "-") { // or it would be taken for a flag
		path = "./" + path
	}
	return command, shellWord(path)
}

// shellWord is a word as a POSIX shell takes it, in single quotes where it needs them; CLIP for one that
// holds what cannot be shown.
func shellWord(s string) string {
	if metadata.Printable(s) != s {
		return "CLIP"
	}
	plain := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_./,+:=", r)
	}
	if s != "" && strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
