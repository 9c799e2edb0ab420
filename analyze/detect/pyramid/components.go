package pyramid

import "stopledger/decode/geometry"

// Components are the connected components of flat pixels of a level.
type Components struct {
	Level *Level      // in which they lie
	List  []Component // all of them
	Rim   float64     // pixels by which a component falls short of the width of what it shows, both rims
	runs  []run       // sorted by component
}

// Connect returns the connected components, by sides of pixels, that a mask marks with all of bits,
// those of at least leastArea pixels. Narrowed by one, a component also loses every pixel next to one
// not marked, so that it doesn't run out through a gap in a faint edge. Runs of rows are joined in
// a disjoint-set forest (A. Rosenfeld, J. L. Pfaltz, "Sequential operations in digital picture
// processing", Journal of the ACM 13, 1966; R. E. Tarjan, 1975, from memory).
func Connect(m *Mask, bits uint8, leastArea, narrowed int, p *Params) *Components {
	runs := m.runs(bits, narrowed)
	joinRows(runs)
	f := gather(m.level, runs, leastArea, p.ManyPixels)
	f.Rim = p.Rim + 2*float64(narrowed)
	return f
}

// joinRows gives runs that touch one above the other the same root.
func joinRows(runs []run) {
	above := 0 // first run of the row above that may still touch
	for i := range runs {
		r := &runs[i]
		for above < i && (runs[above].y < r.y-1 || runs[above].y == r.y-1 && runs[above].x1 <= r.x0) {
			above++
		}
		for j := above; j < i && runs[j].y == r.y-1 && runs[j].x0 < r.x1; j++ {
			unite(runs, int32(i), int32(j))
		}
	}
}

func rootOf(runs []run, i int32) int32 {
	for runs[i].root != i {
		runs[i].root = runs[runs[i].root].root
		i = runs[i].root
	}
	return i
}

func unite(runs []run, i, j int32) {
	a, b := rootOf(runs, i), rootOf(runs, j)
	runs[max(a, b)].root = min(a, b)
}

// gather sorts runs by component, drops the small ones and sums up the rest.
func gather(l *Level, runs []run, leastArea, many int) *Components {
	area := make([]int32, len(runs))
	count := make([]int32, len(runs))
	for i := range runs {
		root := rootOf(runs, int32(i))
		area[root] += runs[i].x1 - runs[i].x0
		count[root]++
	}
	m := &Components{Level: l}
	place := make([]int32, len(runs)) // where the root's next run goes
	index := make([]int32, len(runs))
	total := int32(0)
	for i := range runs {
		index[i] = -1
		if runs[i].root == int32(i) && area[i] >= int32(leastArea) {
			index[i] = int32(len(m.List))
			place[i] = total
			total += count[i]
			m.List = append(m.List, Component{Area: int(area[i]), first: int(place[i]), last: int(total)})
		}
	}
	m.runs = make([]run, total)
	for i := range runs {
		if root := rootOf(runs, int32(i)); index[root] >= 0 {
			m.runs[place[root]] = runs[i]
			place[root]++
		}
	}
	for i := range m.List {
		m.measure(&m.List[i], many)
	}
	return m
}

// measure fills in a component from its runs.
func (m *Components) measure(b *Component, many int) {
	l := m.Level
	var sx, sy, sxx, syy, sxy float64
	var pixels, y, u, v int64
	// Of a large area some rows tell the mean signal well enough.
	every := int32(1 + b.Area/many)
	b.left, b.top = l.W, l.H
	for _, r := range m.runs[b.first:b.last] {
		n := float64(r.x1 - r.x0)
		row := float64(r.y) + 0.5
		a, e := float64(r.x0), float64(r.x1)
		x1 := (a + e) / 2 * n
		sx += x1
		sy += n * row
		// the sum of (x+1/2)^2 over the run
		sxx += (e*e*e-a*a*a)/3 - n/12
		syy += n * row * row
		sxy += x1 * row
		from, to := int(r.y)*l.W+int(r.x0), int(r.y)*l.W+int(r.x1)
		if r.y%every == 0 || pixels == 0 {
			pixels += int64(r.x1 - r.x0)
			y += sum(l.Y[from:to])
			u += sum(l.U[from:to])
			v += sum(l.V[from:to])
		}
		b.left, b.right = min(b.left, int(r.x0)), max(b.right, int(r.x1))
		b.top, b.bottom = min(b.top, int(r.y)), max(b.bottom, int(r.y)+1)
	}
	n := float64(b.Area)
	b.Centre = geometry.Pt(sx/n, sy/n)
	b.XX, b.YY = sxx/n-b.Centre.X*b.Centre.X, syy/n-b.Centre.Y*b.Centre.Y
	b.XY = sxy/n - b.Centre.X*b.Centre.Y
	k := 1 / float64(pixels)
	b.Y, b.U, b.V = float64(y)*k, float64(u)*k, float64(v)*k
}

func sum(s []int16) (t int64) {
	for _, v := range s {
		t += int64(v)
	}
	return t
}
