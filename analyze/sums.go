package analyze

import "stopledger/decode"

// cellSize is the side of a cell in luma samples. Smaller cells lose correlated noise when their
// mean is removed: 8x8 cells 4 %, 16x16 cells 1 % for noise shared by two neighbours.
const cellSize = 16

const cellArea = cellSize * cellSize

// cellSums are sums over one cell in one group. They are integers, so that merging them in any
// order gives the same bits. Ranges are for 16-bit samples: a cell's squared differences fit 40
// bits, cellArea times them 48, so 64 bits hold 65,536 frames.
type cellSums struct {
	sum     uint64    // code, over all frames
	diffSq  uint64    // cellArea x the squared deviation of differences, mean and tilt removed
	clipped [3]uint32 // chroma-sized samples at the ceiling: R, G, B
	any     uint32    // of those, in at least one channel
	all     uint32    // in all three
}

// A grid lays cells over a frame. Those at the right and bottom edge may be cut off: they count
// for clipping, but only whole cells are used for noise.
type grid struct {
	width, height int     // luma samples
	cols, rows    int     // cells
	samples       float64 // chroma samples of a frame, in which clipping is counted
}

func newGrid(width, height int) grid {
	return grid{width, height, (width + cellSize - 1) / cellSize, (height + cellSize - 1) / cellSize, float64(width * height)}
}

// pixels returns how many samples cell (col, row) holds.
func (g grid) pixels(col, row int) int {
	return min(cellSize, g.width-col*cellSize) * min(cellSize, g.height-row*cellSize)
}

// whole tells whether cell (col, row) is not cut off.
func (g grid) whole(col, row int) bool {
	return (col+1)*cellSize <= g.width && (row+1)*cellSize <= g.height
}

// groupSums are everything that one group's walk adds up.
type groupSums struct {
	group  int
	t      float64 // seconds, of its first frame
	frames int
	pairs  int
	cells  []cellSums
	hist   []uint64 // luma samples of every fourth row by file code
	levels []frameLevel
	into   []pairLevel
	patch  []patchSums
	lag    lagSums
	detail *detail
	noise  toneTable
	looked int // cells looked at for noise, once a pair
}

// A frameLevel is the log-average of one frame.
type frameLevel struct {
	t     float64
	stops float64
}

// A pairLevel is how much a frame differs from the one before, in its quieter cells.
type pairLevel struct {
	picture  decode.Picture
	variance float64 // file code^2, lower quartile over whole cells
}

// lagSums compare the group's first frame with its last.
type lagSums struct {
	frames int     // between the two; 0 when not measured
	growth float64 // lower quartile over cells of variance at that lag / at lag 1
}
