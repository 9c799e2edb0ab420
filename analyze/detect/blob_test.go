package detect

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/decode/geometry"
)

// slowAreas floods the flat pixels one by one.
func slowAreas(l *level, s steepness) (areas []int) {
	flat := make([]bool, len(l.y))
	for y := 1; y < l.h-1; y++ {
		for x := 1; x < l.w-1; x++ {
			i := y*l.w + x
			still := func(v []int16, limit int16) bool {
				return abs(v[i+1]-v[i-1]) <= limit && abs(v[i+l.w]-v[i-l.w]) <= limit
			}
			flat[i] = still(l.y, s.luma[clampBin(l.y[i])]) && still(l.u, s.blue[clampBin(l.y[i]+l.u[i])]) && still(l.v, s.red[clampBin(l.y[i]+l.v[i])])
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
			stack = append(stack, i-1, i+1, i-l.w, i+l.w)
		}
		if n > 0 {
			areas = append(areas, n)
		}
	}
	return areas
}

func TestFlatMapAgainstFlooding(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, size := range [][2]int{{40, 30}, {41, 17}, {3, 3}, {4, 50}} {
		for range 20 {
			l := noisyLevel(rng, size[0], size[1], 8)
			s := (&roughness{}).limits(closely)
			for b := range s.luma { // another limit in each bin, and values in all of them
				s.luma[b], s.blue[b], s.red[b] = int16(12+b%4), int16(14+b%3), int16(13+b%5)
			}
			for i := range l.y {
				l.y[i] += int16(i/40*97%4000) - 1800
			}
			want := slowAreas(l, s)
			var got []int
			pixels := 0
			for _, b := range flatMapOf(maskOf(l, s, s), closeBit, 1, 0).blobs {
				got = append(got, b.area)
				pixels += b.area
			}
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("%v: areas %v, want %v", size, got, want)
			}
		}
	}
}

// TestBlobMeasures: the moments of a rectangle are those of the formula, w^2/12.
func TestBlobMeasures(t *testing.T) {
	const x0, y0, w, h = 8, 5, 12, 7
	l := newLevel(40, 30, 2)
	rng := rand.New(rand.NewPCG(8, 8))
	for i := range l.y {
		l.y[i] = int16(1000 + 900*rng.IntN(3)) // rough all over
	}
	for y := y0 - 1; y <= y0+h; y++ {
		for x := x0 - 1; x <= x0+w; x++ {
			l.y[y*l.w+x], l.u[y*l.w+x] = 2000, 30
		}
	}
	limits := (&roughness{}).limits(closely)
	mask := maskOf(l, limits, limits)
	m := flatMapOf(mask, closeBit, w*h, 0)
	if len(m.blobs) != 1 {
		t.Fatalf("%d blobs", len(m.blobs))
	}
	b := m.blobs[0]
	if b.area != w*h || b.centre.Distance(geometry.Pt(x0+w/2.0, y0+h/2.0)) > 1e-9 || b.y != 2000 || b.u != 30 {
		t.Errorf("blob %+v", b)
	}
	if math.Abs(b.xx+1.0/12-w*w/12.0) > 1e-9 || math.Abs(b.yy+1.0/12-h*h/12.0) > 1e-9 || math.Abs(b.xy) > 1e-9 {
		t.Errorf("moments %g %g %g", b.xx, b.yy, b.xy)
	}
	if math.Abs(b.squareness()-1) > 1e-9 || math.Abs(b.elongation()-12.0/7) > 1e-9 {
		t.Errorf("squareness %g, elongation %g", b.squareness(), b.elongation())
	}
	if narrowed := flatMapOf(mask, looseBit, 1, 1); narrowed.blobs[0].area != (w-2)*(h-2) {
		t.Errorf("narrowed by one: %d pixels", narrowed.blobs[0].area)
	}
}
