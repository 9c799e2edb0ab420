package lattice

import (
	"math/rand/v2"
	"testing"
)

// TestPatchTurns: each quarter turn lays the chart's 24 patches on 24 places, each once; neighbours stay neighbours
// and a turn never mirrors.
func TestPatchTurns(t *testing.T) {
	for turns := range 4 {
		p := Placing{i0: -2, j0: 3, turns: turns}
		seen := map[[2]int]Place{}
		for j := -3; j < 12; j++ {
			for i := -5; i < 12; i++ {
				if u, v, ok := p.Patch(Place{i, j}); ok {
					seen[[2]int{u, v}] = Place{i, j}
				}
			}
		}
		if len(seen) != Columns*Rows {
			t.Fatalf("%d turns: %d patches", turns, len(seen))
		}
		for at, place := range seen {
			right, ok := seen[[2]int{at[0] + 1, at[1]}]
			below, also := seen[[2]int{at[0], at[1] + 1}]
			if !ok || !also {
				continue
			}
			a, b := Place{right.I - place.I, right.J - place.J}, Place{below.I - place.I, below.J - place.J}
			if a.I*b.J-a.J*b.I != 1 || a.I*a.I+a.J*a.J != 1 || b.I*b.I+b.J*b.J != 1 {
				t.Fatalf("%d turns: from %v the next column is %v on, the next row %v", turns, at, a, b)
			}
		}
	}
}

// TestSheared: shearing keeps areas, and undoes a lattice that grew along a diagonal.
func TestSheared(t *testing.T) {
	g := &Lattice{}
	for n := range Columns * Rows { // grown by the steps (1, 0) and (1, 1) of the chart's own
		u, v := n%Columns, n/Columns
		g.Nodes = append(g.Nodes, Node{I: u - v, J: v, Component: n})
	}
	upright := 0
	for shear, places := range g.Sheared() {
		a, b := places[1], places[Columns+1]
		first, second := Place{a.I - places[0].I, a.J - places[0].J}, Place{b.I - a.I, b.J - a.J}
		if first.I*second.J-first.J*second.I != 1 {
			t.Errorf("shear %d: steps %v and %v", shear, first, second)
		}
		whole := true
		for n, at := range places {
			whole = whole && at == Place{n % Columns, n / Columns}
		}
		if whole {
			upright++
		}
	}
	if upright != 1 {
		t.Errorf("%d of the shears give the chart's own places, want one", upright)
	}
}

// TestPlacingsAgainstAll: the placings of a plain lattice are all windows, both ways up, that hold nearly as many nodes
// as the fullest, counted one by one.
func TestPlacingsAgainstAll(t *testing.T) {
	p := DefaultParams()
	rng := rand.New(rand.NewPCG(32, 1))
	for range 40 {
		var at []Place
		for j := range 5 {
			for i := range 7 {
				if rng.Float64() < 0.7 {
					at = append(at, Place{i, j})
				}
			}
		}
		got := map[Placing]bool{}
		most := 0
		for _, one := range Placings([][]Place{at}, &p) {
			got[Placing{i0: one.i0, j0: one.j0, turns: one.turns}] = true
			most = max(most, one.held)
		}
		want, fullest := windows(at)
		if most != fullest && fullest >= p.LeastNodes {
			t.Fatalf("%d nodes in the fullest window, want %d", most, fullest)
		}
		for one, n := range want {
			nearly := n >= p.LeastNodes && float64(n) >= p.HeldShare*float64(fullest)
			if inside(at, one) && got[one] != nearly {
				t.Errorf("%+v with %d of %d nodes: told %v", one, n, fullest, got[one])
			}
		}
	}
}

// windows counts the nodes in every placing around a lattice and the most that any inside it has.
func windows(at []Place) (held map[Placing]int, fullest int) {
	held = map[Placing]int{}
	for turns := range 4 {
		for i0 := -6; i0 < 8; i0++ {
			for j0 := -6; j0 < 8; j0++ {
				one, n := Placing{i0: i0, j0: j0, turns: turns}, 0
				for _, place := range at {
					if _, _, ok := one.Patch(place); ok {
						n++
					}
				}
				held[one] = n
				if inside(at, one) {
					fullest = max(fullest, n)
				}
			}
		}
	}
	return held, fullest
}

// inside reports whether a placing's window lies in the bounds of a lattice, or holds them, each way.
func inside(at []Place, one Placing) bool {
	low, high := at[0], at[0]
	for _, p := range at {
		low = Place{min(low.I, p.I), min(low.J, p.J)}
		high = Place{max(high.I, p.I), max(high.J, p.J)}
	}
	w, h := Columns, Rows
	if one.turns%2 == 1 {
		w, h = Rows, Columns
	}
	within := func(from, n, low, high int) bool {
		return from >= low && from+n-1 <= high || from <= low && from+n-1 >= high
	}
	return within(one.i0, w, low.I, high.I) && within(one.j0, h, low.J, high.J)
}

// TestFewNodes: a lattice with fewer nodes than a placing needs has none.
func TestFewNodes(t *testing.T) {
	p := DefaultParams()
	var at []Place
	for i := range p.LeastNodes - 1 {
		at = append(at, Place{i % 4, i / 4})
	}
	if got := Placings([][]Place{at}, &p); len(got) > 0 {
		t.Errorf("%d nodes: %v", len(at), got)
	}
}
