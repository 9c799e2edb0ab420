package cells

/*
#cgo CFLAGS: -O3 -std=c11
#include "kernel.h"
*/
import "C"

import (
	"unsafe"

	"stopledger/curve"
	"stopledger/decode"
)

// The kernel's sums go straight into cells, with thresholds as they are: both are laid out alike.
const (
	_ = uint(unsafe.Sizeof(Cell{}) - C.sizeof_struct_cell)
	_ = uint(C.sizeof_struct_cell - unsafe.Sizeof(Cell{}))
	_ = uint(unsafe.Sizeof(Thresholds{}) - C.sizeof_struct_thresholds)
	_ = uint(C.sizeof_struct_thresholds - unsafe.Sizeof(Thresholds{}))
	_ = uint(Size - C.SIZE)
	_ = uint(C.SIZE - Size)
)

// tables is how many counts of a code a histogram of the kernel has.
const tables = C.TABLES

// at returns where row y of a plane begins.
func at(p decode.Plane, y int) *C.uint16_t { return (*C.uint16_t)(&p.Samples[y*p.Stride]) }

func first(cells []Cell) *C.struct_cell { return (*C.struct_cell)(unsafe.Pointer(&cells[0])) }

func (t *Thresholds) kernel() *C.struct_thresholds { return (*C.struct_thresholds)(unsafe.Pointer(t)) }

// sumCells adds up one row of cells, and their differences to the frame before. It returns the greatest sample.
func sumCells(f *Frame, row int) (highest int) {
	return sum(f.Grid, row, f.Luma, f.LumaBefore, f.Bits, f.Cells[row*f.Grid.Cols:])
}

// sum adds up a row of cells of a plane, and their differences to another; its samples may be nil for none.
func sum(g Grid, row int, now, before decode.Plane, bits int, cells []Cell) (highest int) {
	top, rows := g.rows(row)
	var old *C.uint16_t
	if before.Samples != nil {
		old = at(before, top)
	}
	return int(C.sum_cells(at(now, top), C.ptrdiff_t(now.Stride), old, C.ptrdiff_t(before.Stride),
		C.int(g.Width), C.int(rows), C.int(bits), first(cells)))
}

// Deviations returns the Deviation of each cell of a grid over two planes of one size, row by row: Area x the sum of
// squared differences in the cell, less what their mean and their tilt across and down explain; 0 of cells that
// are cut off. Mean and half-against-half contrasts are orthogonal, so that each takes one degree of freedom. A
// tilt is what flicker or a pan over a shaded surface adds.
func Deviations(now, before decode.Plane, bits int) []uint64 {
	g := NewGrid(now.Width, now.Height)
	all, cells := make([]uint64, 0, g.Cols*g.Rows), make([]Cell, g.Cols)
	for row := range g.Rows {
		clear(cells)
		sum(g, row, now, before, bits, cells)
		for i := range cells {
			all = append(all, cells[i].Deviation)
		}
	}
	return all
}

// tally counts the samples of one row of cells by code, those of masked cells left out.
func tally(f *Frame, row int, counts []uint32) {
	top, rows := f.Grid.rows(row)
	var mask *C.bool
	if f.Mask != nil {
		mask = (*C.bool)(&f.Mask[row*f.Grid.Cols])
	}
	C.tally(at(f.Luma, top), C.ptrdiff_t(f.Luma.Stride), C.int(f.Grid.Width), C.int(rows), mask,
		(*C.uint32_t)(&counts[0]))
}

// countClipped counts the samples at the ceiling in one row of cells.
//
// R', G' and B' are taken per chroma sample, with the mean luma of the block it covers. At luma
// resolution the luma noise of channels that still hold would leak into one that is clipped. A gray
// frame's luma counts as all three.
func countClipped(f *Frame, t *Thresholds, row int) {
	top, rows := f.Grid.rows(row)
	cells := first(f.Cells[row*f.Grid.Cols:])
	if f.Layout != decode.YCbCr {
		p := f.Planes
		if f.Layout == decode.Gray {
			p[1], p[2] = p[0], p[0]
		}
		C.count_clipped_full(at(p[0], top), C.ptrdiff_t(p[0].Stride), at(p[1], top), C.ptrdiff_t(p[1].Stride),
			at(p[2], top), C.ptrdiff_t(p[2].Stride), C.int(f.Grid.Width), C.int(rows), t.kernel(), cells)
		return
	}
	subX, subY := f.SubX(), f.SubY()
	cb, cr := f.Planes[1], f.Planes[2]
	first := top / subY
	C.count_clipped(at(f.Luma, top), C.ptrdiff_t(f.Luma.Stride), C.int(f.Grid.Width), C.int(f.Grid.Height-top),
		at(cb, first), C.ptrdiff_t(cb.Stride), at(cr, first), C.ptrdiff_t(cr.Stride),
		C.int(cb.Width), C.int(min(first+Size/subY, cb.Height)-first), C.int(subX), C.int(subY), C.int(f.Bits),
		t.kernel(), cells)
}

// mix makes rows of R', G' and B' of a Y'CbCr frame, one value per chroma sample.
func mix(f *decode.Frame, c curve.Chroma, first, rows int, rgb [3][]float32) {
	subX, subY := f.SubX(), f.SubY()
	luma, cb, cr := f.Planes[0], f.Planes[1], f.Planes[2]
	factors := C.struct_factors{C.float(c.Mid), C.float(c.CrR), C.float(c.CbG), C.float(c.CrG), C.float(c.CbB)}
	C.mix(at(luma, first*subY), C.ptrdiff_t(luma.Stride), C.int(luma.Width), C.int(luma.Height-first*subY),
		at(cb, first), C.ptrdiff_t(cb.Stride), at(cr, first), C.ptrdiff_t(cr.Stride), C.int(cb.Width), C.int(rows),
		C.int(subX), C.int(subY), factors, (*C.float)(&rgb[0][0]), (*C.float)(&rgb[1][0]), (*C.float)(&rgb[2][0]))
}
