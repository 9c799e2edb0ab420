package detect

// A placing says which patch each place of a lattice would be.
type placing struct {
	shear  int // of the lattice's nodes, see shears
	i0, j0 int // the window's first place
	turns  int // quarter turns of the chart against the lattice
	held   int // nodes in the window
}

// shears are the steps by which a lattice may have grown instead of the chart's own: where a chart
// is seen from the side, a diagonal is as short. Each is what to add to (i, j) for every j and
// every i.
var shears = [][2]int{{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}}

// sheared returns the places that the nodes have by each shear.
func (g *lattice) sheared() (places [][]place) {
	for _, by := range shears {
		at := make([]place, len(g.nodes))
		for k, n := range g.nodes {
			at[k] = place{n.i + by[0]*n.j, n.j + by[1]*n.i}
		}
		places = append(places, at)
	}
	return places
}

// A place is where a node lies in a lattice.
type place struct{ i, j int }

// patch returns the patch's column and row for a place; ok is false outside the window.
func (p placing) patch(at place) (u, v int, ok bool) {
	i, j := at.i-p.i0, at.j-p.j0
	switch p.turns {
	case 0:
		u, v = i, j
	case 1:
		u, v = j, 3-i
	case 2:
		u, v = 5-i, 3-j
	default:
		u, v = 5-j, i
	}
	return u, v, u >= 0 && u < 6 && v >= 0 && v < 4
}

// placings returns the ways to lay the chart on a lattice that hold nearly as many of its nodes as
// any.
func placings(places [][]place) (all []placing) {
	most := leastNodes
	for shear, at := range places {
		tally := newPlaceTally(at)
		for turns := range 2 {
			w, h := 6, 4
			if turns == 1 {
				w, h = 4, 6
			}
			last := place{tally.low.i + tally.w - w, tally.low.j + tally.h - h}
			for i0 := min(tally.low.i, last.i); i0 <= max(tally.low.i, last.i); i0++ {
				for j0 := min(tally.low.j, last.j); j0 <= max(tally.low.j, last.j); j0++ {
					if n := tally.within(i0, j0, w, h); 4*n >= 3*most {
						most = max(most, n)
						all = append(all, placing{shear, i0, j0, turns, n}, placing{shear, i0, j0, turns + 2, n})
					}
				}
			}
		}
	}
	kept := all[:0]
	for _, p := range all {
		if 4*p.held >= 3*most && p.held >= leastNodes {
			kept = append(kept, p)
		}
	}
	return kept
}

// A placeTally counts the nodes in any window of places.
type placeTally struct {
	low  place
	w, h int
	sums []int // of all places above and to the left; a row and a column of none come first
}

func newPlaceTally(places []place) placeTally {
	low, high := places[0], places[0]
	for _, p := range places {
		low = place{min(low.i, p.i), min(low.j, p.j)}
		high = place{max(high.i, p.i), max(high.j, p.j)}
	}
	t := placeTally{low: low, w: high.i - low.i + 1, h: high.j - low.j + 1}
	stride := t.w + 1
	t.sums = make([]int, stride*(t.h+1))
	for _, p := range places {
		t.sums[(p.j-low.j+1)*stride+p.i-low.i+1]++
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

// within returns the nodes in a window, which may reach beyond the lattice.
func (t *placeTally) within(i0, j0, w, h int) int {
	at := func(i, j int) int {
		return t.sums[min(max(j-t.low.j, 0), t.h)*(t.w+1)+min(max(i-t.low.i, 0), t.w)]
	}
	return at(i0+w, j0+h) - at(i0, j0+h) - at(i0+w, j0) + at(i0, j0)
}

// placedLikeness is the likeness of the nodes in the window.
func placedLikeness(places []place, p placing, colours [][axes]float64) float64 {
	var seen [24]int
	var in [24][axes]float64
	n := 0
	for k, at := range places {
		if u, v, ok := p.patch(at); ok {
			seen[n], in[n] = v*6+u, colours[k]
			n++
		}
	}
	return likeness(seen[:n], in[:n])
}

// variegated reports whether colours vary in redness and blueness as a chart's must, however pale a
// picture shows it: the published ones do so by 1.9 stops (referenceSpread).
func variegated(colours [][axes]float64) bool {
	const least = 0.2 // stops, standard deviation
	for k := 1; k < axes; k++ {
		var sum, square float64
		for _, c := range colours {
			sum += c[k]
			square += c[k] * c[k]
		}
		n := float64(len(colours))
		if square/n-sum*sum/(n*n) < least*least {
			return false
		}
	}
	return true
}

// bestPlacing returns the placing on a lattice whose colours go best with the chart's and the nodes'
// places in it; ok is false where none is much like it.
func bestPlacing(g *lattice, colours [][axes]float64) (best placing, at []place, ok bool) {
	if !variegated(colours) {
		return best, nil, false
	}
	places := g.sheared()
	most := leastLikeness
	for _, p := range placings(places) {
		if l := placedLikeness(places[p.shear], p, colours); l > most {
			best, at, most, ok = p, places[p.shear], l, true
		}
	}
	return best, at, ok
}
