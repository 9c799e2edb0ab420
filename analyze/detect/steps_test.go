package detect

import (
	"math"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/decode/geometry"
)

// tile is a square component of a side and a level around a place.
func tile(x, y, side, luma float64) pyramid.Component {
	return pyramid.Component{Area: int(side * side), Centre: geometry.Pt(x, y), XX: side * side / 12,
		YY: side * side / 12, Y: luma}
}

// rowOf lays tiles of 20 pixels along a direction, a step apart, at the levels given.
func rowOf(dx, dy float64, lumas ...float64) *pyramid.Components {
	m := &pyramid.Components{Level: pyramid.New(400, 400, 2)}
	for i, v := range lumas {
		m.List = append(m.List, tile(200+dx*float64(i), 200+dy*float64(i), 20, v))
	}
	return m
}

// TestStepsOfAGreyscale: three of a size, as far apart, whose levels rise or fall by a fifth of a stop
// or more, are a greyscale, whichever of them is asked for and whichever way they lie.
func TestStepsOfAGreyscale(t *testing.T) {
	for _, c := range []struct {
		name   string
		dx, dy float64
		lumas  []float64
		want   bool
	}{
		{"rising", 24, 0, []float64{1000, 1100, 1200}, true},
		{"falling", 24, 0, []float64{1300, 1150, 1000}, true},
		{"down", 0, 30, []float64{1000, 1060, 1120}, true},
		{"aslant", 20, 14, []float64{1000, 1200, 1290}, true},
		{"two", 24, 0, []float64{1000, 1100}, false},
		{"up and down", 24, 0, []float64{1000, 1100, 1000}, false},
		{"alike", 24, 0, []float64{1000, 1000, 1000}, false},
		{"small steps", 24, 0, []float64{1000, 1059, 1118}, false},
		{"far apart", 41, 0, []float64{1000, 1100, 1200}, false},
	} {
		m := rowOf(c.dx, c.dy, c.lumas...)
		for i := range m.List {
			if i == 1 && len(c.lumas) > 2 {
				continue // of a row of three the middle has one neighbour either side
			}
			if got := defaults.Crowd.stepped(m, &m.List[i]); got != c.want {
				t.Errorf("%s, step %d: %v", c.name, i, got)
			}
		}
	}
}

// TestStepsInTheMiddle: a step is one of three too where its neighbours lie on either side.
func TestStepsInTheMiddle(t *testing.T) {
	m := rowOf(24, 0, 1000, 1100, 1200)
	if !defaults.Crowd.stepped(m, &m.List[1]) {
		t.Error("the middle of three is none")
	}
	m.List[2].Centre = geometry.Pt(224, 224+24) // round a corner
	if defaults.Crowd.stepped(m, &m.List[0]) {
		t.Error("three round a corner are a greyscale")
	}
	m = rowOf(24, 0, 1000, 1100, 1200)
	m.List[1] = tile(224, 200, 40, 1100)
	if defaults.Crowd.stepped(m, &m.List[0]) {
		t.Error("one of another size is a step")
	}
}

// TestCardInAGreyscale: a quad round a step is in the greyscale on whichever level the steps are seen;
// beside it or far larger than a step it is not.
func TestCardInAGreyscale(t *testing.T) {
	s := &scan{p: &defaults, tiles: []*pyramid.Components{
		{Level: pyramid.New(100, 100, 8)}, rowOf(24, 0, 1000, 1100, 1200, 1300)}}
	around := func(x, y, side float64) geometry.Quad { // in the level's pixels, of two of the frame
		return geometry.Upright(x-side/2, y-side/2, side, side).Times(2)
	}
	for _, c := range []struct {
		q    geometry.Quad
		want bool
	}{
		{around(200, 200, 22), true}, {around(248, 200, 22), true}, {around(224, 203, 30), true},
		{around(224, 260, 22), false}, {around(224, 200, 44), false}, {around(100, 100, 20), false},
	} {
		if got := s.inGreyscale(c.q); got != c.want {
			t.Errorf("%v: %v", c.q, got)
		}
	}
}

// TestQuarters: each of four directions aslant has a quarter of its own.
func TestQuarters(t *testing.T) {
	seen := map[int]bool{}
	for k := range 4 {
		a := math.Pi/4 + float64(k)*math.Pi/2
		q := quarterOf(geometry.Pt(math.Cos(a), math.Sin(a)))
		for _, off := range []float64{-0.7, 0.7} {
			if again := quarterOf(geometry.Pt(math.Cos(a+off), math.Sin(a+off))); again != q {
				t.Errorf("quarter %d has %d in it", q, again)
			}
		}
		seen[q] = true
	}
	if len(seen) != 4 || !seen[0] || !seen[3] {
		t.Errorf("quarters %v", seen)
	}
}
