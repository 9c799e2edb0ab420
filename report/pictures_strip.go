package report

import (
	"fmt"
	"image"
	"image/draw"
	"math"

	"stopledger/analyze"
)

// The enlarged pieces: at most this many pixels of this many consecutive frames, so that a
// page with four of them stays small enough to mail.
const (
	stripSide   = 64
	stripFrames = 8
	stripScale  = 4 // 400 %
)

// A shownAs is one exposure change under which the enlarged piece is shown.
type shownAs struct {
	name  string
	stops float64
	snr   *float64
}

// writeStrips writes the dark area once for each exposure change worth seeing.
func (w pictureWriter) writeStrips(c *Clip, s *analyze.Strip) ([]Strip, error) {
	if s == nil || len(s.Frames) == 0 {
		return nil, nil
	}
	frames := make([]*analyze.Still, 0, stripFrames)
	for i := range s.Frames[:min(len(s.Frames), stripFrames)] {
		frames = append(frames, cropped(&s.Frames[i], stripSide, stripSide))
	}
	first := frames[0]
	region := Rect{first.X, first.Y, int(float64(first.Width) * first.Scale), int(float64(first.Height) * first.Scale)}
	for i := range frames {
		frames[i] = turned(frames[i], c.Rotation)
	}
	var strips []Strip
	for i, as := range changesShown(c, s.SceneStops) {
		name, err := w.picture(fmt.Sprintf("strip%d", i), stripPicture(frames, as.stops), 0)
		if err != nil {
			return nil, err
		}
		strips = append(strips, Strip{
			Name: as.name, Stops: as.stops, File: name, Region: region,
			Frames: len(frames), Scale: stripScale, SNR: as.snr,
		})
	}
	return strips, nil
}

// stripPicture puts the frames side by side, each pixel repeated stripScale times both ways.
func stripPicture(frames []*analyze.Still, stops float64) *image.RGBA {
	w, h := frames[0].Width*stripScale, frames[0].Height*stripScale
	out := image.NewRGBA(image.Rect(0, 0, w*len(frames), h))
	for i, f := range frames {
		at := image.Rect(i*w, 0, (i+1)*w, h)
		draw.Draw(out, at, enlarged(rendered(f, stops), stripScale), image.Point{}, draw.Src)
	}
	return out
}

// changesShown lists what to show: as recorded, after the advised correction, and the lifts the
// noise was worked out for; one and two stops where there are none.
func changesShown(c *Clip, sceneStops float64) []shownAs {
	shown := []shownAs{{name: "recorded"}}
	if stops := correctionStops(*c); stops != 0 {
		shown = append(shown, shownAs{name: "after", stops: stops})
	}
	lifts := 0
	for _, g := range c.Noise.Graded {
		if g.Stops > 0 && !among(shown, g.Stops) {
			shown = append(shown, shownAs{name: g.Name, stops: g.Stops})
			lifts++
		}
	}
	for _, stops := range []float64{1, 2} {
		if lifts == 0 && !among(shown, stops) {
			shown = append(shown, shownAs{name: fmt.Sprintf("lift +%g", stops), stops: stops})
		}
	}
	for i := range shown {
		shown[i].snr = gradedSNR(c.Noise.Graded, shown[i].stops, sceneStops)
	}
	return shown
}

func among(shown []shownAs, stops float64) bool {
	for _, s := range shown {
		if sameStops(s.stops, stops) {
			return true
		}
	}
	return false
}

// sameStops tells whether two exposure changes print alike.
func sameStops(a, b float64) bool { return math.Abs(a-b) < 0.005 }

// gradedSNR returns the measured SNR after an exposure change at the scene tone nearest to the
// one shown, nil when none lies within half a stop.
func gradedSNR(graded []Graded, stops, sceneStops float64) *float64 {
	var found *float64
	near := 0.5
	for _, g := range graded {
		if !sameStops(g.Stops, stops) {
			continue
		}
		for _, t := range g.Tones {
			if d := math.Abs(t.SceneStops - sceneStops); d <= near && t.SNR != nil {
				near, found = d, t.SNR
			}
		}
	}
	return found
}

// correctionStops returns the advised exposure change, signed: a pull is negative. It is 0 when
// the advice is to hold.
func correctionStops(c Clip) float64 {
	switch action, _, _ := correction(c); action {
	case "pull":
		return -c.Advice.Stops
	case "lift":
		return c.Advice.Stops
	}
	return 0
}
