package find

// A placing says which patch each place of a lattice would be.
type placing struct {
	i0, j0 int // the window's first place
	turns  int // quarter turns of the chart against the lattice
}

// patch returns the patch's column and row for a place in the window.
func (p placing) patch(i, j int) (u, v int) {
	i, j = i-p.i0, j-p.j0
	switch p.turns {
	case 0:
		return i, j
	case 1:
		return j, 3 - i
	case 2:
		return 5 - i, 3 - j
	}
	return 5 - j, i
}

func (p placing) holds(i, j int) bool {
	u, v := p.patch(i, j)
	return u >= 0 && u < 6 && v >= 0 && v < 4
}

// placings returns the ways to lay the chart on a lattice that hold nearly as many nodes as any.
func placings(g *lattice) (all []placing) {
	low, high := g.extent()
	var held []int
	most := leastNodes
	for turns := range 2 {
		size := [2]int{6, 4}
		if turns == 1 {
			size = [2]int{4, 6}
		}
		for i0 := min(low[0], high[0]-size[0]+1); i0 <= max(low[0], high[0]-size[0]+1); i0++ {
			for j0 := min(low[1], high[1]-size[1]+1); j0 <= max(low[1], high[1]-size[1]+1); j0++ {
				n := g.count(i0, j0, size)
				most = max(most, n)
				all = append(all, placing{i0, j0, turns}, placing{i0, j0, turns + 2})
				held = append(held, n, n)
			}
		}
	}
	kept := all[:0]
	for i, p := range all {
		if 4*held[i] >= 3*most && held[i] >= leastNodes {
			kept = append(kept, p)
		}
	}
	return kept
}

// count returns the nodes in a window.
func (g *lattice) count(i0, j0 int, size [2]int) (n int) {
	for _, d := range g.nodes {
		if d.i >= i0 && d.i < i0+size[0] && d.j >= j0 && d.j < j0+size[1] {
			n++
		}
	}
	return n
}

// placedLikeness is the likeness of the nodes in the window.
func placedLikeness(g *lattice, p placing, colours [][axes]float64) float64 {
	var seen [24]int
	var in [24][axes]float64
	n := 0
	for k := range g.nodes {
		if u, v := p.patch(g.nodes[k].i, g.nodes[k].j); u >= 0 && u < 6 && v >= 0 && v < 4 {
			seen[n], in[n] = v*6+u, colours[k]
			n++
		}
	}
	return likeness(seen[:n], in[:n])
}
