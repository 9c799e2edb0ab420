package lattice

// A Placing says which patch each place of a lattice would be.
type Placing struct {
	Shear  int // which of the lattice's sheared places it is of, see Sheared
	i0, j0 int // the window's first place
	turns  int // quarter turns of the chart against the lattice
	held   int // nodes in the window
}

// A Place is where a node lies in a lattice.
type Place struct{ I, J int }

// shears are the steps by which a lattice may have grown instead of the chart's own: where a chart
// is seen from the side, a diagonal is as short. Each is what to add to (i, j) for every j and
// every i.
var shears = [][2]int{{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}}

// Sheared returns the places that the nodes have by each shear.
func (g *Lattice) Sheared() (places [][]Place) {
	for _, by := range shears {
		at := make([]Place, len(g.Nodes))
		for k, n := range g.Nodes {
			at[k] = Place{n.I + by[0]*n.J, n.J + by[1]*n.I}
		}
		places = append(places, at)
	}
	return places
}

// Patch returns the patch's column and row for a place; ok is false outside the window.
func (p Placing) Patch(at Place) (u, v int, ok bool) {
	i, j := at.I-p.i0, at.J-p.j0
	switch p.turns {
	case 0:
		u, v = i, j
	case 1:
		u, v = j, Rows-1-i
	case 2:
		u, v = Columns-1-i, Rows-1-j
	default:
		u, v = Columns-1-j, i
	}
	return u, v, u >= 0 && u < Columns && v >= 0 && v < Rows
}

// Placings returns the ways to lay the chart on a lattice that hold nearly as many of its nodes as
// any.
func Placings(places [][]Place, p *Params) (all []Placing) {
	most := p.LeastNodes
	nearly := func(n int) bool { return float64(n) >= p.HeldShare*float64(most) }
	for shear, at := range places {
		tally := newTally(at)
		for turns := range 2 {
			w, h := Columns, Rows
			if turns == 1 {
				w, h = Rows, Columns
			}
			tally.windows(w, h, func(i0, j0, n int) {
				if nearly(n) {
					most = max(most, n)
					all = append(all, Placing{shear, i0, j0, turns, n}, Placing{shear, i0, j0, turns + 2, n})
				}
			})
		}
	}
	kept := all[:0]
	for _, one := range all {
		if nearly(one.held) && one.held >= p.LeastNodes {
			kept = append(kept, one)
		}
	}
	return kept
}

// A tally counts the nodes in any window of places: a summed-area table (F. C. Crow, "Summed-area
// tables for texture mapping", Computer Graphics 18, 1984).
type tally struct {
	low  Place
	w, h int
	sums []int // of all places above and to the left; a row and a column of none come first
}

func newTally(places []Place) tally {
	low, high := places[0], places[0]
	for _, p := range places {
		low = Place{min(low.I, p.I), min(low.J, p.J)}
		high = Place{max(high.I, p.I), max(high.J, p.J)}
	}
	t := tally{low: low, w: high.I - low.I + 1, h: high.J - low.J + 1}
	stride := t.w + 1
	t.sums = make([]int, stride*(t.h+1))
	for _, p := range places {
		t.sums[(p.J-low.J+1)*stride+p.I-low.I+1]++
	}
	for j := 1; j <= t.h; j++ {
		row := 0
		for i := 1; i <= t.w; i++ {
			row += t.sums[j*stride+i]
			t.sums[j*stride+i] = row + t.sums[(j-1)*stride+i]
		}
	}
	return t
}

// windows calls visit for every window of w x h places that lies inside the lattice or holds it.
func (t *tally) windows(w, h int, visit func(i0, j0, nodes int)) {
	last := Place{t.low.I + t.w - w, t.low.J + t.h - h}
	for i0 := min(t.low.I, last.I); i0 <= max(t.low.I, last.I); i0++ {
		for j0 := min(t.low.J, last.J); j0 <= max(t.low.J, last.J); j0++ {
			visit(i0, j0, t.within(i0, j0, w, h))
		}
	}
}

// within returns the nodes in a window, which may reach beyond the lattice.
func (t *tally) within(i0, j0, w, h int) int {
	at := func(i, j int) int {
		return t.sums[min(max(j-t.low.J, 0), t.h)*(t.w+1)+min(max(i-t.low.I, 0), t.w)]
	}
	return at(i0+w, j0+h) - at(i0, j0+h) - at(i0+w, j0) + at(i0, j0)
}
