package pyramid

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/decode/geometry"
)

// closely is a drawing that keeps soft edges apart.
var closely = Drawing{3, 10, 10}

// slowAreas floods the flat pixels one by one.
func slowAreas(l *Level, s Steepness) (areas []int) {
	flat := make([]bool, len(l.Y))
	for y := 1; y < l.H-1; y++ {
		for x := 1; x < l.W-1; x++ {
			i := y*l.W + x
			still := func(v []int16, limit int16) bool {
				return abs(v[i+1]-v[i-1]) <= limit && abs(v[i+l.W]-v[i-l.W]) <= limit
			}
			flat[i] = still(l.Y, s.Luma[Bin(l.Y[i])]) && still(l.U, s.Blue[Bin(l.Y[i]+l.U[i])]) && still(l.V,
				s.Red[Bin(l.Y[i]+l.V[i])])
		}
	}
	for start := range flat {
		n, stack := 0, []int{start}
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if !flat[i] {
				continue
			}
			flat[i] = false
			n++
			stack = append(stack, i-1, i+1, i-l.W, i+l.W)
		}
		if n > 0 {
			areas = append(areas, n)
		}
	}
	return areas
}

func TestConnectAgainstFlooding(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, size := range [][2]int{{40, 30}, {41, 17}, {3, 3}, {4, 50}} {
		for range 20 {
			l := noisyLevel(rng, size[0], size[1], 8)
			s := (&Roughness{}).Limits(closely, &limits)
			for b := range s.Luma { // another limit in each bin, and values in all of them
				s.Luma[b], s.Blue[b], s.Red[b] = int16(12+b%4), int16(14+b%3), int16(13+b%5)
			}
			for i := range l.Y {
				l.Y[i] += int16(i/40*97%4000) - 1800
			}
			want := slowAreas(l, s)
			var got []int
			pixels := 0
			for _, b := range Connect(MaskOf(l, s, s), Close, 1, 0, &limits).List {
				got = append(got, b.Area)
				pixels += b.Area
			}
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("%v: areas %v, want %v", size, got, want)
			}
		}
	}
}

// TestComponentMeasures: the moments of a rectangle are those of the formula, w^2/12.
func TestComponentMeasures(t *testing.T) {
	const x0, y0, w, h = 8, 5, 12, 7
	l := New(40, 30, 2)
	rng := rand.New(rand.NewPCG(8, 8))
	for i := range l.Y {
		l.Y[i] = int16(1000 + 900*rng.IntN(3)) // rough all over
	}
	for y := y0 - 1; y <= y0+h; y++ {
		for x := x0 - 1; x <= x0+w; x++ {
			l.Y[y*l.W+x], l.U[y*l.W+x] = 2000, 30
		}
	}
	steep := (&Roughness{}).Limits(closely, &limits)
	mask := MaskOf(l, steep, steep)
	m := Connect(mask, Close, w*h, 0, &limits)
	if len(m.List) != 1 {
		t.Fatalf("%d components", len(m.List))
	}
	b := m.List[0]
	if b.Area != w*h || b.Centre.Distance(geometry.Pt(x0+w/2.0, y0+h/2.0)) > 1e-9 || b.Y != 2000 || b.U != 30 {
		t.Errorf("component %+v", b)
	}
	if math.Abs(b.XX+1.0/12-w*w/12.0) > 1e-9 || math.Abs(b.YY+1.0/12-h*h/12.0) > 1e-9 || math.Abs(b.XY) > 1e-9 {
		t.Errorf("moments %g %g %g", b.XX, b.YY, b.XY)
	}
	if math.Abs(b.Squareness()-1) > 1e-9 || math.Abs(b.Elongation()-12.0/7) > 1e-9 {
		t.Errorf("squareness %g, elongation %g", b.Squareness(), b.Elongation())
	}
	if narrowed := Connect(mask, Loose, 1, 1, &limits); narrowed.List[0].Area != (w-2)*(h-2) {
		t.Errorf("narrowed by one: %d pixels", narrowed.List[0].Area)
	}
}
