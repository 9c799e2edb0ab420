package cells

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// walkSizes are frames smaller than a cell, cut off on both sides, and whole across with the
// remainder of 1920 x 1080 below (1080 is 67 cells and a half).
var walkSizes = [][2]int{{1, 1}, {17, 9}, {33, 31}, {48, 40}}

// walkAll walks frames to their end.
func walkAll(how Walk, frames []*decode.Frame, visit func(*Frame)) {
	w := NewWalker(how, visit)
	for _, f := range frames {
		w.Add(f)
	}
	w.Finish()
}

// TestWalkIsExact compares every integer of a walk with the slow version's: all layouts, depths
// of 8 to 16 bits, odd sizes, extreme and random content, one to three workers.
func TestWalkIsExact(t *testing.T) {
	for _, k := range testframes.Kinds {
		for _, bits := range []int{8, 10, 12, 16} {
			how := Walk{Reading: testframes.Reading(t, bits), Matrix: curve.BT709, Workers: 1 + bits/4%3}
			top := curve.FileCode(int(1)<<bits - 1)
			limits := [3]curve.FileCode{0.9 * top, 0.95 * top, top - 0.5}
			how.Thresholds = NewThresholds(limits, how.Reading.Chroma(how.Matrix))
			for _, size := range walkSizes {
				for name, value := range testframes.Contents(bits, uint64(bits)) {
					t.Run(fmt.Sprintf("%s/%d bits/%dx%d/%s", k.Name, bits, size[0], size[1], name), func(t *testing.T) {
						checkWalk(t, how, k, testframes.Make(k, size[0], size[1], bits, 3, value))
					})
				}
			}
		}
	}
}

// TestBigFramesWalkExactly walks frames with the remainders of 1920 x 1080 and one of a cinema
// width, in the common layouts, with three workers.
func TestBigFramesWalkExactly(t *testing.T) {
	for i, size := range [][2]int{{480, 136}, {250, 72}} {
		k := testframes.Kinds[i]
		how := Walk{Reading: testframes.Reading(t, 10), Matrix: curve.BT2020, Workers: 3}
		how.Thresholds = NewThresholds([3]curve.FileCode{900, 890, 880}, how.Reading.Chroma(how.Matrix))
		checkWalk(t, how, k, testframes.Make(k, size[0], size[1], 10, 2, testframes.Contents(10, 5)["grainy"]))
	}
}

// checkWalk walks frames of one group and compares histograms and cells.
func checkWalk(t *testing.T, how Walk, k testframes.Kind, frames []*decode.Frame) {
	t.Helper()
	var before *decode.Frame
	seen := 0
	walkAll(how, frames, func(f *Frame) {
		if f.Frame != frames[seen] || f.Before != before || f.First != frames[0] {
			t.Errorf("frame %d comes as %d, after %v", seen, f.Index, f.Before)
		}
		if f.Start != (seen == 0) || f.End != (seen == len(frames)-1) {
			t.Errorf("frame %d of %d: start %v, end %v", seen, len(frames), f.Start, f.End)
		}
		checkHistogram(t, f, how.Matrix)
		for i := range f.Cells {
			checkCell(t, f, k, how, i%f.Grid.Cols, i/f.Grid.Cols)
		}
		before = f.Frame
		seen++
	})
	if seen != len(frames) {
		t.Errorf("%d frames of %d came", seen, len(frames))
	}
}

func checkCell(t *testing.T, f *Frame, k testframes.Kind, how Walk, col, row int) {
	t.Helper()
	c := f.Cells[row*f.Grid.Cols+col]
	want := slowCellOf(f.Frame, f.Before, how.Matrix, 16*col, 16*row)
	if !equal(c.Sum, want.sum) || !equal(c.SumSq, want.sumSq) || !equal(c.Deviation, want.deviation) ||
		c.Repeated != want.repeated || int64(c.Pixels) != want.pixels {
		t.Errorf("cell %d,%d of frame %d: %+v, want %+v", col, row, f.Index, c, want)
	}
	if f.Grid.Pixels(col, row) != int(c.Pixels) || f.Grid.Whole(col, row) != c.Whole() {
		t.Errorf("cell %d,%d: the grid has %d pixels, the cell %d", col, row, f.Grid.Pixels(col, row), c.Pixels)
	}
	got := slowClips{c.Clipped[0], c.Clipped[1], c.Clipped[2], c.Any, c.All}
	if want := slowClipped(f.Frame, k, how.Thresholds, 16*col, 16*row); got != want {
		t.Errorf("cell %d,%d of frame %d: clipped %+v, want %+v", col, row, f.Index, got, want)
	}
}

func equal(got uint64, want *big.Int) bool { return want.IsUint64() && want.Uint64() == got }

func checkHistogram(t *testing.T, f *Frame, m curve.Matrix) {
	t.Helper()
	want := make([]uint32, len(f.Histogram))
	for y := 0; y < f.Planes[0].Height; y++ {
		for x := range f.Planes[0].Width {
			want[slowLuma(f.Frame, m, x, y)]++
		}
	}
	if !slices.Equal(f.Histogram, want) {
		t.Errorf("histogram of frame %d differs", f.Index)
	}
}

// TestHistogramDoesNotOverflow: a frame's counted samples at one code do not fill 32 bits.
func TestHistogramDoesNotOverflow(t *testing.T) {
	const largest = 1 << 27 // 16384 x 8192, more than any camera's frame
	if largest >= 1<<32 {
		t.Fatalf("%d samples overflow 32 bits", largest)
	}
}

// TestDeviationsAreExact compares first and last frame's deviation with the slow version's.
func TestDeviationsAreExact(t *testing.T) {
	frames := testframes.Make(testframes.Kinds[1], 48, 48, 12, 2, testframes.Contents(12, 8)["random"])
	all := Deviations(frames[1].Planes[0], frames[0].Planes[0], 12)
	for row := range 3 {
		for col := range 3 {
			slow := slowCellOf(frames[1], frames[0], curve.BT709, 16*col, 16*row)
			got := all[3*row+col]
			if !equal(got, slow.deviation) {
				t.Errorf("cell %d,%d: deviation %d, want %v", col, row, got, slow.deviation)
			}
			want, _ := new(big.Rat).SetFrac(slow.deviation, big.NewInt(2*256*253)).Float64()
			if Variance(got) != want {
				t.Errorf("cell %d,%d: variance %v, want %v", col, row, Variance(got), want)
			}
		}
	}
}

// TestVarianceWorked: a cell that holds the differences of sixteen pixels sixteen times over, once
// in each row. Of 2 -1 2 2 -1 2 3 -1 3 1 2 1 1 3 1 2 the sum is 22, that of squares 58, and the
// right half's less the left half's is 14 - 8 (worked by hand).
func TestVarianceWorked(t *testing.T) {
	d := [16]int{2, -1, 2, 2, -1, 2, 3, -1, 3, 1, 2, 1, 1, 3, 1, 2}
	frames := testframes.Make(testframes.Kinds[4], 16, 16, 10, 2, func(frame, _, x, _ int) uint16 {
		return uint16(64 + frame*d[x])
	})
	const want = 256*(16*58) - (16*22)*(16*22) - (16*6)*(16*6)
	if got := Deviations(frames[1].Planes[0], frames[0].Planes[0], 10)[0]; got != want {
		t.Errorf("deviation %d, want %d", got, want)
	}
}

// TestWorkersAgree walks the same frames with one to three workers: all sums are the same.
func TestWorkersAgree(t *testing.T) {
	for _, k := range testframes.Kinds {
		frames := testframes.Make(k, 130, 97, 10, 5, testframes.Contents(10, 11)["grainy"])
		how := Walk{Reading: testframes.Reading(t, 10), Matrix: curve.BT709}
		how.Thresholds = NewThresholds([3]curve.FileCode{940, 940, 940}, how.Reading.Chroma(how.Matrix))
		var want [][]Cell
		var counts [][]uint32
		for how.Workers = 0; how.Workers <= 3; how.Workers++ {
			at := 0
			walkAll(how, frames, func(f *Frame) {
				if how.Workers == 0 {
					want = append(want, slices.Clone(f.Cells))
					counts = append(counts, slices.Clone(f.Histogram))
				} else if !slices.Equal(want[at], f.Cells) || !slices.Equal(counts[at], f.Histogram) {
					t.Errorf("%s: %d workers give other sums for frame %d than one", k.Name, how.Workers, at)
				}
				at++
			})
		}
	}
}
