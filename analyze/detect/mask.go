package detect

// A flatMask marks the pixels of a level that change by little over two pixels, both ways, in luma
// and in colour. The border is never marked.
type flatMask struct {
	level *level
	marks []uint8 // row by row, of the bits below
	found []run   // see runs
}

// Bits of a mask: what is flat closely drawn is so loosely, too.
const (
	looseBit = 1 << iota
	closeBit
)

// maskOf marks the pixels whose changes are within the limits of a close and a loose drawing.
func maskOf(l *level, close, loose steepness) *flatMask {
	m := &flatMask{level: l, marks: make([]uint8, l.w*l.h), found: make([]run, 0, l.w*l.h/8)}
	tight, wide := close.table(), loose.table()
	for y := 1; y < l.h-1 && l.w >= 3; y++ {
		markRow(m.marks[y*l.w+1:(y+1)*l.w-1], l, y, &tight, &wide)
	}
	return m
}

// markRow marks the pixels of a row but its ends.
func markRow(out []uint8, l *level, y int, tight, wide *steepLimits) {
	luma, blue, red := rowsAt(l.y, l.w, y), rowsAt(l.u, l.w, y), rowsAt(l.v, l.w, y)
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
		return looseBit
	}
	return looseBit | closeBit
}

// runs lists the stretches of marked pixels row by row. The list holds until the next call.
func (m *flatMask) runs(bits uint8, narrowed int) []run {
	w, h := m.level.w, m.level.h
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

// narrow keeps the pixels that are marked in all three rows and to either side.
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
