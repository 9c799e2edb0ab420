package cells

import "stopledger/decode"

// A Frame is a frame that was walked. It, its slices and its planes hold until the callback that
// gets it returns; to keep the planes for longer, Keep the decoded frame.
type Frame struct {
	*decode.Frame              // as decoded
	Grid          Grid         // of its cells
	Cells         []Cell       // sums of each cell, row by row
	Mask          Mask         // of the cells that hold no light
	Histogram     []uint32     // luma samples by file code
	Luma          decode.Plane // its own, or made of R', G' and B'

	// The frame before it in its group, nil for the group's first, and that first one, itself for that. All planes of
	// either are there for the second frame alone.
	Before, First         *decode.Frame
	LumaBefore, LumaFirst decode.Plane // LumaBefore is empty for the group's first

	Start bool // it is the first frame of its group
	End   bool // it is the last, also where damage ends the group early
}
