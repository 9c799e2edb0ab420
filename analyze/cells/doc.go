// Package cells is the one hot loop: it walks each frame once and adds up integers for every
// cell of a grid laid over it.
package cells

// A Grid lays cells over a frame. Those at the right and bottom edge may be cut off.
type Grid struct {
	Width, Height int // luma samples
	Cols, Rows    int // cells
}
