package synth

import "stopledger/decode/geometry"

// The scenes in the film_ files make up an invented short film, "Slack Water": the night and the
// morning before a small car ferry, the Marit, is laid up for good. Each scene takes the frame
// size and lays itself out for it.

// stage places things in fractions of the frame's width and height.
type stage struct{ w, h float64 }

func newStage(width, height int) stage { return stage{float64(width), float64(height)} }

func (s stage) at(x, y float64) geometry.Point { return geometry.Pt(x*s.w, y*s.h) }

func (s stage) rect(x, y, w, h float64) geometry.Quad {
	return geometry.Upright(x*s.w, y*s.h, w*s.w, h*s.h)
}

// quad takes the corners' fractions: top left, top right, bottom right, bottom left.
func (s stage) quad(x0, y0, x1, y1, x2, y2, x3, y3 float64) geometry.Quad {
	return geometry.Quad{s.at(x0, y0), s.at(x1, y1), s.at(x2, y2), s.at(x3, y3)}
}

// TestTiles is a wedge of flat neutral tiles that fills the frame, in half stops from -8 to +6
// around 18 %, six across and five down: for noise, by tone. The last place stays black.
func TestTiles(width, height int) Scene {
	return Scene{Name: "test tiles", Parts: []Part{
		Fill{Grey(0.001)},
		NewWedge(newStage(width, height).rect(0, 0, 1, 1), 6, -8, 6, 0.5, 0),
	}}
}

// ToneWedge is the camera test before the shoot: whole stops from -8 to +8 on a dark wall, a
// grey card below.
func ToneWedge(width, height int) Scene {
	s := newStage(width, height)
	return Scene{Name: "tone wedge", Parts: []Part{
		NewSurface(s.rect(-1, -1, 3, 3), Light{0.07, 0.068, 0.062},
			Texture{CellX: 0.2 * s.h, CellY: 0.2 * s.h, Octaves: 5, Contrast: 0.15, Seed: 41}),
		NewWedge(s.rect(0.06, 0.12, 0.88, 0.42), 9, -8, 8, 1, 0.006*s.h),
		NewCard(s.rect(0.4, 0.64, 0.2, 0.25), 0.18),
	}}
}
