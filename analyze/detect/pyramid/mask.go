package pyramid

// A Mask marks the pixels of a level that change by little over two pixels, both ways, in luma and
// in colour. The border is never marked.
type Mask struct {
	level *Level
	marks []uint8 // row by row, of the bits below
	found []run   // see runs
}

// Bits of a mask: what is flat closely drawn is so loosely, too.
const (
	Loose = 1 << iota
	Close
)

// MaskOf marks the pixels whose changes are within the limits of a close and a loose drawing.
func MaskOf(l *Level, tight, wide Steepness) *Mask {
	m := &Mask{level: l, marks: make([]uint8, l.W*l.H), found: make([]run, 0, l.W*l.H/8)}
	near, far := tight.table(), wide.table()
	for y := 1; y < l.H-1 && l.W >= 3; y++ {
		markRow(m.marks[y*l.W+1:(y+1)*l.W-1], l, y, &near, &far)
	}
	return m
}

// steepLimits are a Steepness laid out for any value a pixel may have, by limitIndex.
type steepLimits struct{ luma, blue, red [128]int16 }

// limitIndex is the bin of a value counted from -4096; values below that, which no picture has, fold
// over to the end, where the lowest bin stands again.
func limitIndex(v int16) int { return (int(v) + 1<<levelBits) >> binShift & 127 }

func (s *Steepness) table() (t steepLimits) {
	for i := range 128 {
		bin := min(max(i-toneBins, 0), toneBins-1)
		if i >= 3*toneBins {
			bin = 0
		}
		t.luma[i], t.blue[i], t.red[i] = s.Luma[bin], s.Blue[bin], s.Red[bin]
	}
	return t
}

// markRow marks the pixels of a row but its ends.
func markRow(out []uint8, l *Level, y int, tight, wide *steepLimits) {
	luma, blue, red := rowsAt(l.Y, l.W, y), rowsAt(l.U, l.W, y), rowsAt(l.V, l.W, y)
	for x := range out {
		i := limitIndex(luma.here[x])
		out[x] = luma.mark(x, tight.luma[i], wide.luma[i])
	}
	for x, mark := range out {
		if mark == 0 {
			continue
		}
		i := limitIndex(luma.here[x] + blue.here[x])
		if mark &= blue.mark(x, tight.blue[i], wide.blue[i]); mark != 0 {
			i = limitIndex(luma.here[x] + red.here[x])
			mark &= red.mark(x, tight.red[i], wide.red[i])
		}
		out[x] = mark
	}
}

// neighbours are the five rows of values that surround the pixels of a row, its ends left out, so
// that one index serves all.
type neighbours struct{ here, left, right, up, down []int16 }

func rowsAt(v []int16, w, y int) neighbours {
	i, n := y*w, w-2
	return neighbours{v[i+1 : i+1+n], v[i : i+n], v[i+2 : i+2+n], v[i-w+1 : i-w+1+n], v[i+w+1 : i+w+1+n]}
}

// mark compares the larger of the changes across and down with both limits.
func (n *neighbours) mark(x int, tight, wide int16) uint8 {
	switch change := max(abs(n.right[x]-n.left[x]), abs(n.down[x]-n.up[x])); {
	case change > wide:
		return 0
	case change > tight:
		return Loose
	}
	return Loose | Close
}

// A run is a stretch of flat pixels in one row: x from x0 to before x1.
type run struct{ y, x0, x1, root int32 }

// runs lists the stretches of pixels that are marked with all of bits, row by row. The list holds
// until the next call.
func (m *Mask) runs(bits uint8, narrowed int) []run {
	w, h := m.level.W, m.level.H
	runs := m.found[:0]
	kept := make([]bool, w)
	for y := 1 + narrowed; y < h-1-narrowed; y++ {
		row := m.marks[y*w : (y+1)*w]
		if narrowed == 0 {
			for x, v := range row {
				kept[x] = v&bits == bits
			}
		} else {
			narrow(kept, m.marks[(y-1)*w:y*w], row, m.marks[(y+1)*w:(y+2)*w], bits)
		}
		runs = appendRuns(runs, kept, y)
	}
	m.found = runs
	return runs
}

// narrow keeps the pixels that are marked in all three rows and to either side: an erosion by a square
// of three pixels.
func narrow(kept []bool, above, here, below []uint8, bits uint8) {
	column := func(x int) bool { return above[x]&here[x]&below[x]&bits == bits }
	before, now := false, column(0)
	for x := 0; x < len(kept)-1; x++ {
		after := column(x + 1)
		kept[x] = before && now && after
		before, now = now, after
	}
}

// appendRuns adds the runs of a row whose last pixel is not kept.
func appendRuns(runs []run, kept []bool, y int) []run {
	for x := 0; x < len(kept); x++ {
		if !kept[x] {
			continue
		}
		x0 := x
		for kept[x] {
			x++
		}
		runs = append(runs, run{int32(y), int32(x0), int32(x), int32(len(runs))})
	}
	return runs
}
