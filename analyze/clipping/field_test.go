package clipping

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// surveyed makes the moments of a pair of frames, of each channel and cell by a function.
func surveyed(g cells.Grid, of func(channel, col, row int) cells.Moments) *cells.Survey {
	s := &cells.Survey{Grid: g}
	for c := range s.Channels {
		for i := range g.Cols * g.Rows {
			s.Channels[c] = append(s.Channels[c], of(c, i%g.Cols, i/g.Cols))
		}
	}
	return s
}

// flood is the textbook recursion: what can be reached from a cell over cells of the same kind, by
// eight neighbours.
func flood(kind []int, g cells.Grid, col, row int, seen []bool) (set []int) {
	i := row*g.Cols + col
	if seen[i] {
		return nil
	}
	seen[i] = true
	set = []int{i}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			x, y := col+dx, row+dy
			if x >= 0 && y >= 0 && x < g.Cols && y < g.Rows && kind[y*g.Cols+x] == kind[i] {
				set = append(set, flood(kind, g, x, y, seen)...)
			}
		}
	}
	return set
}

// TestFieldsAgainstFloodFill: on random pictures of light, two codes on which it stands, and masked
// cells, in files of 10 and of 12 bits, fields are the connected components that a recursion finds,
// those under four cells left out.
func TestFieldsAgainstFloodFill(t *testing.T) {
	g := cells.NewGrid(16*18, 16*11)
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 1))
		per := []float64{1, 4}[seed%2]
		density := 0.15 + 0.5*rng.Float64()
		kind, mask := make([]int, g.Cols*g.Rows), make(cells.Mask, g.Cols*g.Rows)
		for i := range kind {
			if rng.Float64() < density {
				kind[i] = 1 + rng.IntN(2)
			}
			mask[i] = rng.IntN(12) == 0
		}
		s := surveyed(g, func(_, col, row int) cells.Moments {
			switch kind[row*g.Cols+col] {
			case 1:
				return cells.Moments{Mean: 900 * per}
			case 2:
				return cells.Moments{Mean: 901 * per, Temporal: 0.009 * per * per, Spatial: 0.049 * per * per}
			}
			return cells.Moments{Mean: 900 * per, Temporal: 0.04 * per * per, Spatial: 1}
		})
		for i, m := range mask {
			if m {
				kind[i] = 0
			}
		}
		var want [][]int
		seen := make([]bool, len(kind))
		for i, k := range kind {
			if set := flood(kind, g, i%g.Cols, i/g.Cols, seen); k > 0 && len(set) >= leastField {
				slices.Sort(set)
				want = append(want, set)
			}
		}
		got := fields(s, 2, per, mask)
		if len(got) != len(want) {
			t.Fatalf("seed %d: %d fields, want %d", seed, len(got), len(want))
		}
		for i, f := range got {
			slices.Sort(f.cells)
			code := curve.Code(899 + kind[f.cells[0]])
			if !slices.Equal(f.cells, want[i]) || math.Abs(float64(f.code-code)) > 1e-9 {
				t.Errorf("seed %d: field of %v at %.2f, want %v at %.0f", seed, f.cells, f.code, want[i], code)
			}
		}
	}
}

// TestFieldsOfWholeCellsOnly: cut off cells have no moments and are in no field.
func TestFieldsOfWholeCellsOnly(t *testing.T) {
	g := cells.NewGrid(16*4, 16*4)
	s := surveyed(g, func(_, col, row int) cells.Moments {
		if col == 3 || row == 3 {
			nan := math.NaN()
			return cells.Moments{Mean: nan, Spatial: nan, Temporal: nan}
		}
		return cells.Moments{Mean: 940}
	})
	got := fields(s, 0, 1, nil)
	if len(got) != 1 || len(got[0].cells) != 9 || got[0].code != 940 {
		t.Errorf("%+v, want nine cells at 940", got)
	}
}

// TestCalmest: of a field's cells the three quarters that change least count, one at the least.
func TestCalmest(t *testing.T) {
	for _, tc := range []struct {
		temporal []float64
		want     float64
	}{
		{[]float64{5}, 5}, {[]float64{9, 1}, 1}, {[]float64{4, 100, 1, 1}, 2},
		{[]float64{8, 7, 6, 5, 4, 3, 2, 1}, 3.5},
	} {
		var all []cells.Moments
		var set []int
		for i, v := range tc.temporal {
			all, set = append(all, cells.Moments{Temporal: v}), append(set, i)
		}
		if got := calmest(all, set); got != tc.want {
			t.Errorf("%v: %g, want %g", tc.temporal, got, tc.want)
		}
	}
}

// TestLevels: fields at most 0.6 of a code apart are one level, at their mean by cells; the one with
// the most cells comes first.
func TestLevels(t *testing.T) {
	of := func(code curve.Code, n int, quiet float64) field { return field{code, make([]int, n), quiet} }
	got := levelsOf([]field{of(800, 5, 0), of(900, 10, 0.004), of(900.4, 30, 0), of(901.5, 8, 0), of(800.2, 40, 0)})
	want := []level{{(800*5 + 800.2*40) / 45, 45, 0}, {900.3, 40, 0.001}, {901.5, 8, 0}}
	if len(got) != len(want) {
		t.Fatalf("%+v, want %+v", got, want)
	}
	for i, l := range got {
		if l.cells != want[i].cells || math.Abs(float64(l.code-want[i].code)) > 1e-9 ||
			math.Abs(l.quiet-want[i].quiet) > 1e-12 {
			t.Errorf("level %d: %+v, want %+v", i, l, want[i])
		}
	}
	if got := levelsOf(nil); len(got) != 0 {
		t.Errorf("%+v of no fields", got)
	}
}

// TestCrowd: cells from three codes under a level on are near it, those down to twelve codes under it,
// those within 0.6 on it, light from two codes over it above it; what stands still above is another field,
// not light.
func TestCrowd(t *testing.T) {
	g := cells.NewGrid(16*12, 16)
	over := []float64{-3.1, -2.9, -0.7, -0.5, 0, 0.5, 0.7, 1.9, 2.1, 30, 2.1, 0}
	for _, per := range []float64{1, 4} {
		s := surveyed(g, func(_, col, _ int) cells.Moments {
			m := cells.Moments{Mean: (900 + over[col]) * per, Temporal: 0.1 * per * per, Spatial: per * per}
			if col == 10 {
				m.Temporal, m.Spatial = 0.001, 0.01
			}
			return m
		})
		mask := make(cells.Mask, 12)
		mask[11] = true
		var got crowd
		got.add(s, 1, 900, per, mask)
		if want := (crowd{on: 3, near: 10, under: 1, above: 2}); got != want {
			t.Errorf("%g file codes a code: %+v, want %+v", per, got, want)
		}
		got.add(s, 1, 900, per, nil)
		if want := (crowd{on: 7, near: 21, under: 2, above: 4}); got != want {
			t.Errorf("over two pairs: %+v, want %+v", got, want)
		}
	}
}
