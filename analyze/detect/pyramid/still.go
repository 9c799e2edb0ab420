package pyramid

import (
	"math"

	"stopledger/decode/geometry"
)

// The patches of a small chart are four or five pixels of a level: too few to be flat, but each
// still has a still point in its middle, where the signal changes least. Such points are looked
// for only where the colour is busy, as it is in a chart seen from afar.

// StillPoints returns the still points of the busy tiles of a level, as components of one pixel. half
// is the same level at half the size.
func StillPoints(l, half *Level, tones ToneTable, p *Params) *Components {
	m := &Components{Level: l, Rim: p.Rim}
	busy, across := busyTiles(half, tones, p.LeastVariety)
	var change [tileSide + 6][tileSide + 6]int16
	for t, b := range busy {
		if !b {
			continue
		}
		x0, y0 := t%across*tileSide, t/across*tileSide
		if x0 < 4 || y0 < 4 || x0+tileSide+4 > l.W || y0+tileSide+4 > l.H {
			continue // the frame's rim
		}
		for j := range change {
			for i := range change[j] {
				change[j][i] = changeAt(l, (y0+j-3)*l.W+x0+i-3)
			}
		}
		for j := 3; j < tileSide+3; j++ {
			for i := 3; i < tileSide+3; i++ {
				if stillPoint(&change, i, j, p) {
					m.addPoint(&change, i, j, x0-3, y0-3)
				}
			}
		}
	}
	return m
}

// busyTiles marks the tiles of the finest level that, half as large, show colours of more than
// two kinds, and the tiles beside them.
func busyTiles(half *Level, tones ToneTable, least float64) (busy []bool, across int) {
	across = (2*half.W + tileSide - 1) / tileSide
	down := (2*half.H + tileSide - 1) / tileSide
	busy = make([]bool, across*down)
	for j := range down {
		for i := range across {
			if variety(half, tones, i*tileSide/2, j*tileSide/2) < least {
				continue
			}
			for y := max(j-1, 0); y <= min(j+1, down-1); y++ {
				for x := max(i-1, 0); x <= min(i+1, across-1); x++ {
					busy[y*across+x] = true
				}
			}
		}
	}
	return busy, across
}

// variety is the smaller of the two standard deviations of a tile's colour differences along their
// principal axes, in stops at the tile's mean luma. The tile's corner is x0, y0.
func variety(l *Level, tones ToneTable, x0, y0 int) float64 {
	var n, luma, u, v, uu, vv, uv int
	for y := y0; y < min(y0+tileSide/2, l.H); y++ {
		row := y * l.W
		for i := row + x0; i < row+min(x0+tileSide/2, l.W); i++ {
			a, b := int(l.U[i]), int(l.V[i])
			luma += int(l.Y[i])
			n, u, v, uu, vv, uv = n+1, u+a, v+b, uu+a*a, vv+b*b, uv+a*b
		}
	}
	if n == 0 {
		return 0
	}
	k := 1 / float64(n)
	mu, mv := float64(u)*k, float64(v)*k
	su, sv, suv := float64(uu)*k-mu*mu, float64(vv)*k-mv*mv, float64(uv)*k-mu*mv
	least := (su+sv)/2 - math.Hypot((su-sv)/2, suv)
	return math.Sqrt(math.Max(least, 0)) * tones.Slope(float64(luma)*k)
}

// changeAt is the largest difference of the signal over two pixels, either way.
func changeAt(l *Level, i int) int16 {
	w := l.W
	return max(abs(l.Y[i+1]-l.Y[i-1]), abs(l.Y[i+w]-l.Y[i-w]),
		abs(l.U[i+1]-l.U[i-1]), abs(l.U[i+w]-l.U[i-w]),
		abs(l.V[i+1]-l.V[i-1]), abs(l.V[i+w]-l.V[i-w]))
}

// stillPoint reports whether a pixel changes less than its neighbours, and much less than what
// is around them.
func stillPoint(change *[tileSide + 6][tileSide + 6]int16, i, j int, p *Params) bool {
	c := change[j][i]
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			// of equal neighbours the first counts
			if o := change[j+dj][i+di]; o < c || o == c && (dj < 0 || dj == 0 && di < 0) {
				return false
			}
		}
	}
	most := int16(0)
	for d := -2; d <= 2; d++ {
		most = max(most, change[j-2][i+d], change[j+2][i+d], change[j+d][i-2], change[j+d][i+2])
	}
	return float64(most) > p.LeastSteep && float64(c) < p.Stillness*float64(most)
}

// addPoint adds a still point, its centre drawn to where around it the change is small.
func (m *Components) addPoint(change *[tileSide + 6][tileSide + 6]int16, i, j, x0, y0 int) {
	var weight, sx, sy float64
	top := int16(1)
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			top = max(top, change[j+dj][i+di])
		}
	}
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			g := float64(top - change[j+dj][i+di])
			weight, sx, sy = weight+g, sx+g*float64(di), sy+g*float64(dj)
		}
	}
	x, y := x0+i, y0+j
	at := geometry.Pt(float64(x)+0.5, float64(y)+0.5)
	if weight > 0 {
		at = at.Add(geometry.Pt(sx/weight, sy/weight))
	}
	k := y*m.Level.W + x
	m.List = append(m.List, Component{Area: 1, Centre: at,
		Y: float64(m.Level.Y[k]), U: float64(m.Level.U[k]), V: float64(m.Level.V[k])})
}
