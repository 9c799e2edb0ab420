// Package overlay tells what lies over a picture from light: mattes, and logos or burned-in text at
// a named video level. Such cells stand on one code in every pair of frames, are neutral to the
// code, and lie at the frame's border under the curve's black, or at the code of video white. They
// are left out of the scene's level, of repeats, and of the search for a ceiling.
package overlay

import (
	"image"
	"math"
	"slices"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

const (
	// still and even are the temporal and spatial variances, in (10-bit code)^2, up to which the
	// samples of a cell stand on one code.
	still = 0.01
	even  = 0.05
	// sameCode is how far the channels of a neutral cell, and the cells of a matte, may lie apart.
	sameCode curve.Code = 0.5
	// overBlack is how far over the curve's black a matte may lie.
	overBlack curve.Code = 2
	// videoWhite is the code of 100 % (Recommendation ITU-R BT.2100-2, table 9).
	videoWhite curve.Code = 940
	// mostOfFrame is the share of the frame up to which still cells at video white are a logo; a
	// clipped sky is larger.
	mostOfFrame = 0.02
	// leastWhite is how many samples at video white in every pair of frames make a cell one of text or of a
	// mark that fills none.
	leastWhite = 3
)

// A Kind says what lies over the picture.
type Kind string

// Kinds of overlay.
const (
	Matte Kind = "matte" // bars at the border
	Logo  Kind = "logo"  // a mark or text at video white
)

// An Area is what lies over a part of the picture.
type Area struct {
	geometry.Rect
	Kind Kind `json:"kind"`
}

// A Result is what lies over the picture of a clip.
type Result struct {
	Areas []Area     // none as a rule
	Mask  cells.Mask // of the grid's cells that hold no light; nil for none
}

// Find looks for overlays in pairs of frames spread over a clip; whites are the samples of each cell that stand
// at video white, in each pair, nil where they were not counted.
func Find(surveys []*cells.Survey, whites [][]uint32, r curve.Reading) Result {
	if len(surveys) == 0 {
		return Result{}
	}
	g := surveys[0].Grid
	f := finder{surveys: surveys, reading: r, grid: g, mask: make(cells.Mask, g.Cols*g.Rows)}
	f.mattes()
	f.logos()
	f.marks(whites)
	if f.mask.Count() == 0 {
		return Result{}
	}
	return Result{f.areas, f.mask}
}

type finder struct {
	surveys []*cells.Survey
	reading curve.Reading
	grid    cells.Grid
	mask    cells.Mask
	areas   []Area
}

// fixed returns the code on which a cell stands in all channels and all pairs of frames.
func (f *finder) fixed(cell int) (code curve.Code, ok bool) {
	per := f.reading.PerCode()
	code = curve.Code(f.surveys[0].Channels[0][cell].Mean / per)
	for _, s := range f.surveys {
		for c := range s.Channels {
			m := s.Channels[c][cell]
			apart := math.Abs(m.Mean/per - float64(code))
			if !(apart <= float64(sameCode)) || m.Temporal > still*per*per || m.Spatial > even*per*per {
				return 0, false
			}
		}
	}
	return code, true
}

// mattes marks bars: lines of cells from the border inwards that all stand on one code under the
// curve's black, and the line after them, which the bar's edge may cut.
func (f *finder) mattes() {
	cols, rows := f.grid.Width/cells.Size, f.grid.Height/cells.Size
	row := func(y int) func(i int) int { return func(x int) int { return y*f.grid.Cols + x } }
	col := func(x int) func(i int) int { return func(y int) int { return y*f.grid.Cols + x } }
	for _, side := range []struct {
		lines, along int
		line         func(depth int) func(i int) int
		box          func(depth int) image.Rectangle
	}{
		{rows, cols, row, func(d int) image.Rectangle { return image.Rect(0, 0, f.grid.Width, d*cells.Size) }},
		{rows, cols, func(d int) func(int) int { return row(rows - 1 - d) },
			func(d int) image.Rectangle { return image.Rect(0, (rows-d)*cells.Size, f.grid.Width, f.grid.Height) }},
		{cols, rows, col, func(d int) image.Rectangle { return image.Rect(0, 0, d*cells.Size, f.grid.Height) }},
		{cols, rows, func(d int) func(int) int { return col(cols - 1 - d) },
			func(d int) image.Rectangle { return image.Rect((cols-d)*cells.Size, 0, f.grid.Width, f.grid.Height) }},
	} {
		depth := 0
		for depth < side.lines && f.barred(side.line(depth), side.along) {
			depth++
		}
		if depth > 0 && depth < side.lines {
			f.add(side.box(depth), side.box(depth+1), Matte)
		}
	}
}

// barred tells whether a line of cells stands on one code under the curve's black.
func (f *finder) barred(at func(i int) int, n int) bool {
	top := f.reading.Code(f.reading.CodeOf(0)) + overBlack
	first, ok := f.fixed(at(0))
	if !ok || first > top {
		return false
	}
	for i := 1; i < n; i++ {
		code, ok := f.fixed(at(i))
		if !ok || math.Abs(float64(code-first)) > float64(sameCode) {
			return false
		}
	}
	return true
}

// logos marks still cells at video white, with those around them, where they are few.
func (f *finder) logos() {
	var found image.Rectangle
	n := 0
	for i := range f.mask {
		code, ok := f.fixed(i)
		if !ok || f.mask[i] || math.Abs(float64(code-videoWhite)) > float64(sameCode) {
			continue
		}
		x, y := i%f.grid.Cols*cells.Size, i/f.grid.Cols*cells.Size
		found = found.Union(image.Rect(x, y, x+cells.Size, y+cells.Size))
		n++
	}
	if n > 0 && float64(n) <= mostOfFrame*float64(len(f.mask)) {
		f.add(found, found.Inset(-cells.Size), Logo)
	}
}

// marks marks cells in which samples stand at video white all the time and which are not marked yet: text, and
// marks smaller than a cell. Where the curve ends there, light does as well, and nothing is told apart.
func (f *finder) marks(whites [][]uint32) {
	if len(whites) == 0 || math.Abs(float64(f.reading.Code(f.reading.Top())-videoWhite)) <= 1 {
		return
	}
	var found []image.Rectangle
	all := 0
	for i := range f.mask {
		if !f.mask[i] && !slices.ContainsFunc(whites, func(n []uint32) bool { return n[i] < leastWhite }) {
			found = joined(found, f.cell(i))
			all++
		}
	}
	if float64(all) > mostOfFrame*float64(len(f.mask)) {
		return
	}
	for _, r := range found {
		f.add(r, r, Logo)
		for i := range f.mask {
			cut := slices.ContainsFunc(whites, func(n []uint32) bool { return n[i] > 0 })
			f.mask[i] = f.mask[i] || cut && f.cell(i).Overlaps(r.Inset(-1))
		}
	}
}

// cell returns the box of a cell.
func (f *finder) cell(i int) image.Rectangle {
	x, y := i%f.grid.Cols*cells.Size, i/f.grid.Cols*cells.Size
	return image.Rect(x, y, x+cells.Size, y+cells.Size)
}

// joined adds a rectangle to others, as one with those that it touches or all but touches.
func joined(all []image.Rectangle, r image.Rectangle) (out []image.Rectangle) {
	for _, one := range all {
		if one.Inset(-cells.Size - 1).Overlaps(r) {
			r = r.Union(one)
		} else {
			out = append(out, one)
		}
	}
	return append(out, r)
}

// add notes an area and marks the cells of a larger one around it.
func (f *finder) add(area, marked image.Rectangle, kind Kind) {
	f.areas = append(f.areas, Area{geometry.RectOf(area), kind})
	for i := range f.mask {
		x, y := i%f.grid.Cols*cells.Size, i/f.grid.Cols*cells.Size
		f.mask[i] = f.mask[i] || image.Pt(x, y).In(marked)
	}
}
