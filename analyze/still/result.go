// Package still takes pictures from a clip for people to look at. They are kept as recorded;
// corrected versions are rendered from them by report, once the placement is final.
package still

import (
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Row is one row of a picture in scene-linear light.
type Row struct {
	R, G, B []float32
	Clipped []uint8 // bit 0: R at the ceiling, bit 1: G, bit 2: B; nil where nothing in the row is
}

// Rows are a picture that is made row by row, as a large one would take much memory.
type Rows interface {
	// Size returns the pixels across and down, and how many pixels of the frame one of them has across.
	Size() (width, height int, scale float64)
	// Row returns one row, which is good until the next is asked for.
	Row(y int) Row
}

// ShownRows are rows that can be shown without their light being worked out: whatever is shown of each channel's
// light is looked up by its code.
type ShownRows interface {
	Rows
	// Shown returns what sets a row's pixels, four bytes each: what tone makes of the light of R, G and B, to a
	// quarter of a code of 10 bits, and alpha.
	Shown(tone func(light float32) uint8) func(y int, to []uint8)
}

// A Still is a picture in scene-linear light, so that a report can render it as recorded, after
// a pull, or as a map of stops, without knowing a frame's format or a curve.
type Still struct {
	Width, Height int           // pixels of the still
	T             curve.Seconds // from the clip's first frame
	Scale         float64       // pixels of the frame to one pixel of the still
	X, Y          int           // where the still's corner lies in the frame
	R, G, B       []float32     // scene-linear, 0.18 = nominal grey, row by row
	Clipped       []uint8       // bit 0: R at the ceiling, bit 1: G, bit 2: B
}

// Size returns the still's size, as Rows has it.
func (s *Still) Size() (width, height int, scale float64) { return s.Width, s.Height, s.Scale }

// Row returns a row of the still.
func (s *Still) Row(y int) Row {
	from, to := y*s.Width, (y+1)*s.Width
	row := Row{R: s.R[from:to], G: s.G[from:to], B: s.B[from:to]}
	if to <= len(s.Clipped) {
		row.Clipped = s.Clipped[from:to]
	}
	return row
}

// A Strip is one small area of consecutive frames at full size.
type Strip struct {
	Area   geometry.Rect // of the frame
	Scene  curve.Stops   // mean tone of the area from the subject's grey
	Frames []Still       // consecutive
}

// Stills are the pictures of one clip.
type Stills struct {
	Frame    *Still      // a whole frame, small
	Full     Rows        // the same at full size; nil where that is Frame
	Shadows  *Strip      // a dark area near scene -4 stops; nil where there is none
	Waveform *Waveform   // of the same frame
	Channels []*Waveform // of its R', G' and B'; nil without colour
	Grid     *Grid       // of the same frame

	release func() // the frame behind Full; nil for none
}

// Release lets the frame of Full go, which is not to be read any more. There may be none.
func (s *Stills) Release() {
	if s.release != nil {
		s.release()
	}
	s.Full, s.release = nil, nil
}

// A Waveform counts luma, or one channel, by column and level.
type Waveform struct {
	Columns int           // across the frame
	Levels  int           // bins from First, Step each
	First   curve.Percent // lower edge of the first bin
	Step    curve.Percent // of a bin
	Counts  []uint32      // [level*Columns + column]
}

// A Grid is a frame in blocks of Side x Side pixels, from its upper left corner, for people to measure
// areas of it. Pixels that do not fill a last block are left out. Averages are of light, not of codes,
// and light of luma is what --region measures.
type Grid struct {
	Side          int // pixels of the frame as coded
	Width, Height int // blocks
	Luma          []float32
	R, G, B       []float32
	Spread        []float32 // standard deviation of luma's light over the block's pixels
	Clipped       []uint8   // bit 0: R at the ceiling anywhere in the block, bit 1: G, bit 2: B
	Light         []float32 // of the codes 0 to 1023, for codes to be told of light
}
