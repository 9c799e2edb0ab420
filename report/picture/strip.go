package picture

import (
	"fmt"
	"image"
	"image/draw"
	"math"

	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/report"
)

// The enlarged pieces: at most this many pixels of this many consecutive frames.
const (
	stripSide   = 160
	stripFrames = 6
	stripScale  = 4 // 400 %
)

// A shownAs is one exposure change under which the enlarged piece is shown.
type shownAs struct {
	name  string
	stops curve.Stops
	snr   curve.Decibels
}

// strips renders the dark area once for each exposure change worth seeing.
func (r *renderer) strips(c *report.Clip, s *still.Strip) (strips []report.Strip) {
	if s == nil || len(s.Frames) == 0 {
		return nil
	}
	frames := make([]*still.Still, 0, stripFrames)
	for i := range s.Frames[:min(len(s.Frames), stripFrames)] {
		frames = append(frames, cropped(&s.Frames[i], stripSide, stripSide))
	}
	first := frames[0]
	region := geometry.Rect{X: first.X, Y: first.Y,
		W: int(float64(first.Width) * first.Scale), H: int(float64(first.Height) * first.Scale)}
	for i := range frames {
		frames[i] = turned(frames[i], c.Rotation)
	}
	for i, as := range changesShown(c, s.Scene) {
		name := r.add(fmt.Sprintf("strip%d", i), 0,
			func() image.Image { return stripPicture(frames, r.shows, as.stops) })
		strips = append(strips, report.Strip{
			Name: as.name, Stops: as.stops, File: name, Region: region,
			Frames: len(frames), Scale: stripScale, SNR: as.snr,
		})
	}
	return strips
}

// stripPicture puts the frames side by side.
func stripPicture(frames []*still.Still, shows *display.Rendering, stops curve.Stops) *image.RGBA {
	w, h := frames[0].Width, frames[0].Height
	out := image.NewRGBA(image.Rect(0, 0, w*len(frames), h))
	for i, f := range frames {
		at := image.Rect(i*w, 0, (i+1)*w, h)
		draw.Draw(out, at, rendered(f, shows, stops), image.Point{}, draw.Src)
	}
	return out
}

// changesShown lists what to show: as recorded, after the advised correction, and the lifts the
// noise was worked out for; one and two stops where there are none.
func changesShown(c *report.Clip, scene curve.Stops) []shownAs {
	shown := []shownAs{{name: "recorded"}}
	if stops := c.Advice.Correction(); stops != 0 {
		shown = append(shown, shownAs{name: "after", stops: stops})
	}
	lifts := 0
	for _, g := range c.Noise.Graded {
		if g.Stops > 0 && !among(shown, g.Stops) {
			shown = append(shown, shownAs{name: g.Name, stops: g.Stops})
			lifts++
		}
	}
	for _, stops := range []curve.Stops{1, 2} {
		if lifts == 0 && !among(shown, stops) {
			shown = append(shown, shownAs{name: fmt.Sprintf("lift +%g", stops), stops: stops})
		}
	}
	for i := range shown {
		shown[i].snr = snrNear(c, shown[i].stops, scene)
	}
	return shown
}

func among(shown []shownAs, stops curve.Stops) bool {
	for _, s := range shown {
		if report.SameChange(s.stops, stops) {
			return true
		}
	}
	return false
}

// snrNear returns the SNR after an exposure change at the scene tone shown: on the line between the whole stops
// beside it, and that of one of them within half a stop where the other is unknown.
func snrNear(c *report.Clip, change, scene curve.Stops) curve.Decibels {
	unknown := curve.Unknown[curve.Decibels]()
	for _, g := range c.Noise.Graded {
		if !report.SameChange(g.Stops, change) {
			continue
		}
		below, above := unknown, unknown
		under := curve.Stops(math.Floor(float64(scene)))
		for _, t := range g.Tones {
			switch t.Scene {
			case under:
				below = t.SNR
			case under + 1:
				above = t.SNR
			}
		}
		up := float64(scene - under)
		switch {
		case up == 0 || !curve.Finite(above) && up <= 0.5:
			return below
		case !curve.Finite(below) && up >= 0.5:
			return above
		}
		return below + curve.Decibels(up)*(above-below)
	}
	return unknown
}
