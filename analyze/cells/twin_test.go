package cells

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// The kernel's sums in Go, for its twin to be compared with bit for bit.

// twinWalk fills the cells of a frame and returns its histogram.
func twinWalk(f *Frame, t *Thresholds, codes int) []uint32 {
	histogram := make([]uint32, codes)
	clear(f.Cells)
	for row := range f.Grid.Rows {
		cells := f.Cells[row*f.Grid.Cols : (row+1)*f.Grid.Cols]
		top, rows := f.Grid.rows(row)
		whole := 0
		if f.Before != nil && rows == Size {
			whole = f.Grid.Width / Size
			for col := range whole {
				cells[col].pair(f.Luma, f.LumaBefore, col*Size, top)
			}
		}
		for y := top; y < top+rows; y++ {
			addRow(cells, f.Luma.Row(y), whole)
			for x, code := range f.Luma.Row(y) {
				if !f.Mask.Has(row*f.Grid.Cols + x/Size) {
					histogram[code]++
				}
			}
		}
		if t.any() {
			twinClipped(f, t, row)
		}
	}
	return histogram
}

// pair sums a whole cell, whose corner is (x, y), and its differences to the frame before.
func (c *Cell) pair(cur, prev decode.Plane, x, y int) {
	var diffSq uint64
	var quarters [2][2]int64 // sums of differences: upper and lower, left and right
	for dy := range Size {
		was := prev.Row(y + dy)[x:]
		for dx, code := range cur.Row(y + dy)[x : x+Size] {
			d := int64(code) - int64(was[dx])
			c.Sum += uint64(code)
			c.SumSq += uint64(code) * uint64(code)
			c.Highest = max(c.Highest, code)
			diffSq += uint64(d * d)
			quarters[dy/(Size/2)][dx/(Size/2)] += d
		}
	}
	left, right := quarters[0][0]+quarters[1][0], quarters[0][1]+quarters[1][1]
	upper, lower := quarters[0][0]+quarters[0][1], quarters[1][0]+quarters[1][1]
	mean, across, down := left+right, right-left, lower-upper
	c.Pixels, c.Repeated = Area, diffSq == 0
	c.Deviation = Area*diffSq - uint64(mean*mean) - uint64(across*across) - uint64(down*down)
}

// addRow adds one row of luma samples, without differences, to the cells from column first on:
// those of a frame that has none before it, and those that the frame's edge cuts off.
func addRow(cells []Cell, row []uint16, first int) {
	for col := first; col < len(cells); col++ {
		from := col * Size
		span := row[from:min(from+Size, len(row))]
		var sum, sumSq uint64
		for _, c := range span {
			sum += uint64(c)
			sumSq += uint64(c) * uint64(c)
		}
		cell := &cells[col]
		cell.Sum += sum
		cell.Highest = max(cell.Highest, slices.Max(span))
		cell.SumSq += sumSq
		cell.Pixels += uint32(len(span))
	}
}

// twinClipped counts the samples at the ceiling in one row of cells.
func twinClipped(f *Frame, t *Thresholds, cellRow int) {
	if !t.any() {
		return
	}
	if f.Layout != decode.YCbCr {
		countClippedFull(f, t, cellRow)
		return
	}
	subX, subY := f.SubX(), f.SubY()
	cb, cr := f.Planes[1], f.Planes[2]
	perCell := Size / subX
	top := cellRow * Size / subY
	bottom := min(top+Size/subY, cb.Height)
	cells := f.Cells[cellRow*f.Grid.Cols:]
	for y := top; y < bottom; y++ {
		upper := f.Luma.Row(y * subY)
		lower := f.Luma.Row(min(y*subY+subY-1, f.Luma.Height-1))
		countRow(cells, t, upper, lower, cb.Row(y), cr.Row(y), subX, perCell)
	}
}

// countRow counts one row of chroma samples.
func countRow(cells []Cell, t *Thresholds, upper, lower, cb, cr []uint16, subX, perCell int) {
	for x := range cb {
		left := x * subX
		right := min(left+subX-1, len(upper)-1)
		y := int64(upper[left]) + int64(upper[right]) + int64(lower[left]) + int64(lower[right])
		u, v := int64(cb[x])-t.mid, int64(cr[x])-t.mid
		y <<= fixedBits - 2
		r := y+t.crR*v >= t.limit[0]
		g := y+t.cbG*u+t.crG*v >= t.limit[1]
		b := y+t.cbB*u >= t.limit[2]
		if r || g || b {
			cells[x/perCell].count(r, g, b)
		}
	}
}

// countClippedFull counts where each pixel has its R', G' and B'; gray counts as all three.
func countClippedFull(f *Frame, t *Thresholds, cellRow int) {
	planes := f.Planes
	if f.Layout == decode.Gray {
		planes[1], planes[2] = planes[0], planes[0]
	}
	cells := f.Cells[cellRow*f.Grid.Cols:]
	for y := cellRow * Size; y < min((cellRow+1)*Size, f.Grid.Height); y++ {
		red, green, blue := planes[0].Row(y), planes[1].Row(y), planes[2].Row(y)
		for x := range red {
			r := int64(red[x])<<fixedBits >= t.limit[0]
			g := int64(green[x])<<fixedBits >= t.limit[1]
			b := int64(blue[x])<<fixedBits >= t.limit[2]
			if r || g || b {
				cells[x/Size].count(r, g, b)
			}
		}
	}
}

// count counts one sample at the ceiling in these channels.
func (c *Cell) count(r, g, b bool) {
	c.Any++
	if r {
		c.Clipped[0]++
	}
	if g {
		c.Clipped[1]++
	}
	if b {
		c.Clipped[2]++
	}
	if r && g && b {
		c.All++
	}
}

// checkTwin walks a frame by the kernel and by its twin.
func checkTwin(t *testing.T, f *Frame, limits Thresholds, bits int) {
	t.Helper()
	want := twinWalk(f, &limits, 1<<bits)
	cells := slices.Clone(f.Cells)
	b := band{0, f.Grid.Rows, make([]uint32, tables<<bits)}
	b.walk(f, &limits, nil)
	got := make([]uint32, 1<<bits)
	b.addTo(got)
	if !slices.Equal(got, want) {
		t.Errorf("the histogram differs")
	}
	for i := range cells {
		if f.Cells[i] != cells[i] {
			t.Fatalf("cell %d: %+v, its twin %+v", i, f.Cells[i], cells[i])
		}
	}
}

// twinFrame makes the second of two frames, ready to be walked; alone says that it has none before it.
func twinFrame(frames []*decode.Frame, m curve.Matrix, alone bool, mask Mask) *Frame {
	f := &Frame{Frame: frames[1], Grid: GridOf(frames[1]), Mask: mask, Luma: Luma(frames[1], m)}
	f.Cells = make([]Cell, f.Grid.Cols*f.Grid.Rows)
	if !alone {
		f.Before, f.LumaBefore = frames[0], Luma(frames[0], m)
	}
	return f
}

// TestKernelIsItsTwin: over layouts, depths, sizes with strips that are cut off, contents at the ends of the
// scale and ceilings anywhere, none included, the kernel's integers are those of its form in Go.
func TestKernelIsItsTwin(t *testing.T) {
	sizes := [][2]int{{1, 1}, {15, 17}, {16, 16}, {512, 16}, {513, 33}, {1031, 50}, {2049, 15}}
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 160))
		k := testframes.Kinds[random.IntN(len(testframes.Kinds))]
		bits := []int{8, 10, 12, 14, 15, 16}[random.IntN(6)]
		size := sizes[random.IntN(len(sizes))]
		r := testframes.Reading(t, bits)
		var codes [3]curve.FileCode
		for i := range codes {
			codes[i] = curve.FileCode((random.Float64()*1.2 - 0.1) * float64(r.Codes()))
			if random.IntN(4) == 0 {
				codes[i] = curve.FileCode(math.Inf(1))
			}
		}
		for name, value := range testframes.Contents(bits, seed) {
			t.Run(fmt.Sprintf("%d/%s/%d bits/%dx%d/%s", seed, k.Name, bits, size[0], size[1], name), func(t *testing.T) {
				f := twinFrame(testframes.Make(k, size[0], size[1], bits, 2, value), curve.BT709, seed%5 == 0, nil)
				if seed%3 == 0 {
					f.Mask = make(Mask, len(f.Cells))
					for i := range f.Mask {
						f.Mask[i] = random.IntN(2) == 0
					}
				}
				checkTwin(t, f, NewThresholds(codes, r.Chroma(curve.BT709)), bits)
			})
		}
	}
}

// FuzzKernel: whatever samples frames hold, the kernel's integers are those of its form in Go.
func FuzzKernel(f *testing.F) {
	f.Add([]byte{0, 255, 7, 3}, uint16(40), uint16(20), uint8(10), uint8(1), 900.0)
	f.Add([]byte{255, 255}, uint16(530), uint16(16), uint8(16), uint8(0), 65535.0)
	f.Fuzz(func(t *testing.T, samples []byte, width, height uint16, depth, kind uint8, limit float64) {
		if len(samples) < 2 || math.IsNaN(limit) || math.Abs(limit) > 1<<20 {
			return
		}
		bits := 8 + int(depth)%9
		k := testframes.Kinds[int(kind)%len(testframes.Kinds)]
		value := func(frame, plane, x, y int) uint16 {
			i := (frame*7 + plane*5 + x*3 + y*31) % (len(samples) - 1)
			return (uint16(samples[i])<<8 | uint16(samples[i+1])) & (1<<bits - 1)
		}
		frames := testframes.Make(k, 1+int(width)%1100, 1+int(height)%40, bits, 2, value)
		codes := [3]curve.FileCode{curve.FileCode(limit), curve.FileCode(limit / 2), curve.FileCode(limit * 2)}
		limits := NewThresholds(codes, testframes.Reading(t, bits).Chroma(curve.BT2020))
		checkTwin(t, twinFrame(frames, curve.BT2020, false, nil), limits, bits)
	})
}

// TestSamplesBeyondTheirDepth: a sample with more bits than its frame's is no code that can be counted.
func TestSamplesBeyondTheirDepth(t *testing.T) {
	frames := testframes.Make(testframes.Kinds[0], 40, 20, 10, 2, testframes.Contents(12, 1)["random"])
	defer func() {
		if recover() == nil {
			t.Error("codes of 12 bits were counted among those of 10")
		}
	}()
	b := band{0, 2, make([]uint32, tables<<10)}
	b.walk(twinFrame(frames, curve.BT709, true, nil), &Thresholds{}, nil)
}
