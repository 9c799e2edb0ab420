package analyze

import (
	"slices"

	"stopledger/analyze/cells"
	"stopledger/analyze/levels"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// Shots are what a clip's pictures are made of, kept while it is measured so that it is not decoded once more:
// the first frame of the group nearest to its middle, and of that and the next ones every area that may be shown
// enlarged. Which area it is turns out with grey, which another clip may tell.
type Shots struct {
	middle int           // number of the group in the middle of the schedule
	group  int           // that is kept; -1 for none yet
	first  *decode.Frame // of that; nil before it came
	areas  []geometry.Rect
	parts  [][]*decode.Frame // of each frame, by area
}

// Tones of strips are of whole steps, so that there are not too many areas to be kept.
const (
	toneStep      curve.Stops = 0.25
	brightestTone curve.Stops = 3 // of a strip that is kept
)

// want has a group kept of some that are to be walked, where it is nearer to the middle than what is kept.
func (s *Shots) want(groups ...int) {
	for _, group := range groups {
		if s != nil && s.from(group) < s.from(s.group) {
			s.group = group
		}
	}
}

// from tells how far a group lies from the middle.
func (s *Shots) from(group int) int { return max(group-s.middle, s.middle-group) }

// collect keeps what is wanted of a frame.
func (s *Shots) collect(f *cells.Frame, r curve.Reading) {
	if s == nil || f.Group != s.group {
		return
	}
	if f.Start {
		s.Release()
		f.Keep()
		s.first, s.areas, s.parts = f.Frame, stripAreas(levels.CellsOf(f, r)), nil
	}
	if len(s.parts) == still.StripFrames {
		return
	}
	parts := make([]*decode.Frame, len(s.areas))
	for i, a := range s.areas {
		parts[i] = f.Part(a.X, a.Y, a.W, a.H)
	}
	s.parts = append(s.parts, parts)
}

// stripAreas returns the areas that a strip may show, whatever grey is.
func stripAreas(c levels.Cells) (areas []geometry.Rect) {
	shadows := still.NewShadows(c)
	for tone := levels.Darkest; tone <= brightestTone; tone += toneStep {
		if area, ok := shadows.Area(tone); ok && !slices.Contains(areas, area) {
			areas = append(areas, area)
		}
	}
	return areas
}

// stills takes the pictures of a measured clip with a strip of an area, nil for none; ok is false where not all
// was kept that they take.
func (s *Shots) stills(camera *still.Camera, r *Result, strip *still.Strip) (stills *still.Stills, ok bool) {
	if s == nil || s.first == nil || s.first.Index != r.Levels.Middle.First {
		return nil, false
	}
	if strip != nil {
		at := slices.Index(s.areas, strip.Area)
		if at < 0 {
			return nil, false
		}
		for _, parts := range s.parts {
			strip.Frames = append(strip.Frames, *camera.Part(parts[at], strip.Area))
		}
	}
	stills = camera.Frame(s.first)
	stills.Shadows = strip
	return stills, true
}

// Release lets go of what is kept. It may be called again, and of nil.
func (s *Shots) Release() {
	if s != nil && s.first != nil {
		s.first.Release()
		s.first = nil
	}
}
