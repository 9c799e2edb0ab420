package cells

import "stopledger/decode"

const (
	// Size is the side of a cell in samples. Smaller cells lose correlated noise when their mean is
	// removed: 8x8 cells 4 %, 16x16 cells 1 % for noise shared by two neighbours.
	Size = 16
	// Area is the number of samples of a whole cell.
	Area = Size * Size
)

// A Grid lays cells over a frame. Those at the right and bottom edge may be cut off: they count
// for clipping, but only whole cells are used for noise.
type Grid struct {
	Width, Height int // luma samples
	Cols, Rows    int // cells
	Samples       int // of the frame in which clipping is counted: chroma samples, where there are any
	PerCell       int // of those in a whole cell
}

// GridOf returns the grid for frames like f.
func GridOf(f *decode.Frame) Grid {
	g := NewGrid(f.Planes[0].Width, f.Planes[0].Height)
	if f.Layout == decode.YCbCr {
		g.Samples = f.Planes[1].Width * f.Planes[1].Height
		g.PerCell = Area / (f.SubX() * f.SubY())
	}
	return g
}

// NewGrid returns the grid of a frame whose channels are of full size.
func NewGrid(width, height int) Grid {
	return Grid{width, height, (width + Size - 1) / Size, (height + Size - 1) / Size, width * height, Area}
}

// Pixels returns how many luma samples the cell at (col, row) holds.
func (g Grid) Pixels(col, row int) int {
	return min(Size, g.Width-col*Size) * min(Size, g.Height-row*Size)
}

// Whole tells whether the cell at (col, row) is not cut off.
func (g Grid) Whole(col, row int) bool {
	return (col+1)*Size <= g.Width && (row+1)*Size <= g.Height
}

// rows returns the first luma row of a row of cells, and how many it has.
func (g Grid) rows(row int) (top, rows int) { return row * Size, min(Size, g.Height-row*Size) }
