package clipping

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// joined are the least cells that each clipped cell is connected with, found by lowering marks until
// none changes; -1 for a cell that does not clip.
func joined(fill []float64, g cells.Grid) []int {
	mark := make([]int, len(fill))
	for i := range mark {
		if mark[i] = i; fill[i] < 0.02 {
			mark[i] = -1
		}
	}
	for changed := true; changed; {
		changed = false
		for a := range mark {
			for b := range mark {
				apart := max(absolute(a%g.Cols-b%g.Cols), absolute(a/g.Cols-b/g.Cols))
				if mark[a] >= 0 && mark[b] >= 0 && apart <= 1 && mark[b] < mark[a] {
					mark[a], changed = mark[b], true
				}
			}
		}
	}
	return mark
}

func absolute(n int) int { return max(n, -n) }

// TestComponentsAgainstMarks: over random pictures the connected components are those of the slow
// version, each cell in one of them, and its box holds its cells and touches them on all sides.
func TestComponentsAgainstMarks(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 151))
		g := cells.NewGrid(16*(1+random.IntN(9))-random.IntN(15), 16*(1+random.IntN(7))-random.IntN(15))
		fill := make([]float64, g.Cols*g.Rows)
		for i := range fill {
			fill[i] = max(random.Float64()*1.6-0.8, 0)
		}
		mark, seen := joined(fill, g), map[int]bool{}
		for _, set := range components(fill, g) {
			for _, i := range set {
				if mark[i] != mark[set[0]] || seen[i] {
					t.Fatalf("seed %d: cell %d is in a component of cell %d", seed, i, set[0])
				}
				seen[i] = true
			}
			box := boxOf(set, g)
			left, top, right, bottom := math.MaxInt, math.MaxInt, 0, 0
			for _, i := range set {
				left, top = min(left, i%g.Cols*16), min(top, i/g.Cols*16)
				right, bottom = max(right, min(i%g.Cols*16+16, g.Width)), max(bottom, min(i/g.Cols*16+16, g.Height))
			}
			if box.X != left || box.Y != top || box.X+box.W != right || box.Y+box.H != bottom {
				t.Errorf("seed %d: box %+v of cells from %d,%d to %d,%d", seed, box, left, top, right, bottom)
			}
		}
		for i := range fill {
			if seen[i] != (mark[i] >= 0) {
				t.Errorf("seed %d: cell %d clips %g and is listed: %v", seed, i, fill[i], seen[i])
			}
		}
	}
}

// TestAreasHoldAllThatClips: the shares of all areas come to that of the frame, but for cells under
// a fiftieth; the largest comes first; no area is longer than the clip.
func TestAreasHoldAllThatClips(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 152))
		g := cells.NewGrid(8*16, 5*16)
		var groups []*counts
		for n := range 1 + random.IntN(4) {
			c := countsOf(g, n, 1+random.IntN(5), curve.Seconds(2*n))
			for i := range c.any {
				if random.IntN(3) == 0 {
					c.any[i] = uint32((6 + random.IntN(251)) * c.frames)
					c.all[i] = uint32(random.IntN(int(c.any[i]) + 1))
				}
			}
			groups = append(groups, c)
		}
		var any, frames float64
		for _, c := range groups {
			frames += float64(c.frames)
			for _, n := range c.any {
				any += float64(n)
			}
		}
		var sum curve.Share
		areas := findAreas(groups, g, 25)
		for _, a := range areas {
			sum += a.Share
			if a.Peak < a.Share-1e-12 || a.Some < 0 || a.Some > 1 || a.From < 0 ||
				float64(a.To) > float64(2*(len(groups)-1))+0.2+1e-9 || a.To <= a.From {
				t.Errorf("seed %d: %+v", seed, a)
			}
		}
		if want := any / frames / (8 * 16 * 5 * 16); math.Abs(float64(sum)-want) > 1e-9 {
			t.Errorf("seed %d: the areas come to %g, the frame clips %g", seed, float64(sum), want)
		}
		if !slices.IsSortedFunc(areas, func(a, b Area) int { return int(math.Copysign(1, float64(b.Share-a.Share))) }) {
			t.Errorf("seed %d: the largest is not first: %+v", seed, areas)
		}
	}
}

// TestSharesOverFrames: a clip's shares are those of all its frames together, not of its groups.
func TestSharesOverFrames(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 153))
		g := cells.NewGrid(64, 48)
		var groups []*counts
		var shares []Shares
		var red, any, frames float64
		for n := range 1 + random.IntN(5) {
			c := countsOf(g, n, 1+random.IntN(9), curve.Seconds(n))
			for i := range c.any {
				c.any[i] = uint32(random.IntN(257) * c.frames)
				any += float64(c.any[i])
			}
			c.clipped[0] = uint64(random.IntN(64 * 48 * c.frames))
			red, frames = red+float64(c.clipped[0]), frames+float64(c.frames)
			groups, shares = append(groups, c), append(shares, c.shares(g))
		}
		m := mean(groups, shares)
		if math.Abs(float64(m.R)-red/frames/3072) > 1e-12 || math.Abs(float64(m.Any)-any/frames/3072) > 1e-12 {
			t.Errorf("seed %d: red %g, any %g, want %g and %g", seed, float64(m.R), float64(m.Any), red/frames/3072,
				any/frames/3072)
		}
		if low, high := interval(groups, shares, m.Any, g); low > m.Any || high < m.Any || low < 0 || high > 1 {
			t.Errorf("seed %d: %g lies in %g to %g", seed, float64(m.Any), float64(low), float64(high))
		}
	}
}

// TestIntervalOfWholeCells: what clips whole and alike in every group is known exactly; a group that
// differs, or cells that clip in part, widen it.
func TestIntervalOfWholeCells(t *testing.T) {
	width := func(pictures ...[]string) float64 {
		var groups []*counts
		var shares []Shares
		var grid cells.Grid
		for i, p := range pictures {
			c, g := groupOf(p, i, 2, curve.Seconds(i))
			groups, shares, grid = append(groups, c), append(shares, c.shares(g)), g
		}
		low, high := interval(groups, shares, mean(groups, shares).Any, grid)
		return float64(high - low)
	}
	whole, more, part := []string{"##..", "##.."}, []string{"###.", "##.."}, []string{"##+.", "##.."}
	if got := width(whole, whole, whole); got > 1e-12 {
		t.Errorf("alike and whole: an interval of %g", got)
	}
	// Of eight cells 4, 4 and 5 clip: a standard deviation of sqrt(1/3) / 8. Student's t of two degrees
	// of freedom is 4.303 (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2).
	if got, want := width(whole, whole, more), 2*4.303*math.Sqrt(1.0/3)/8/math.Sqrt(3); math.Abs(got-want) > 1e-3*want {
		t.Errorf("one group differs: an interval of %g, want %g", got, want)
	}
	if got, want := width(part), 2*0.5/8; math.Abs(got-want) > 1e-9 {
		t.Errorf("half a cell of eight: an interval of %g, want %g", got, want)
	}
}

// TestHistogramOfPairs: each sample counts once by its code, each pair by its mean, with its squared
// difference, in any depth.
func TestHistogramOfPairs(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 154))
		per := []float64{0.25, 1, 4, 64}[seed%4]
		h, half := newHistogram(), newHistogram()
		var row, before []float32
		count, change := map[int]float64{}, 0.0
		for range 300 {
			code, was := float64(100+random.IntN(3600))/4, float64(100+random.IntN(3600))/4
			row, before = append(row, float32(code*per)), append(before, float32(was*per))
			count[int(math.Round(code*4))]++
			change += (code - was) * (code - was)
		}
		h.compare(row[:150], before[:150], per)
		half.compare(row[150:], before[150:], per)
		h.merge(&half)
		for bin := range h.count {
			if h.count[bin] != count[bin] {
				t.Fatalf("seed %d: bin %d holds %g, want %g", seed, bin, h.count[bin], count[bin])
			}
		}
		if got := window(h.change, bins/2, bins); math.Abs(got-change) > 1e-4*change || window(h.pairs, 0, bins) != 300 {
			t.Errorf("seed %d: changes of %g, want %g, of %g pairs", seed, got, change, window(h.pairs, 0, bins))
		}
	}
}

// TestFieldsOfOneCode: cells that stand on one code and touch are a field where they are four; cells
// that change, have texture, stand on another code, or are masked, are not of it.
func TestFieldsOfOneCode(t *testing.T) {
	for name, tc := range map[string]struct {
		spoil func(m *cells.Moments)
		mask  bool
		want  []int // sizes of the fields
	}{
		"whole": {want: []int{6}}, "changes": {spoil: func(m *cells.Moments) { m.Temporal = 0.02 }, want: []int{4}},
		"texture":      {spoil: func(m *cells.Moments) { m.Spatial = 0.06 }, want: []int{4}},
		"another code": {spoil: func(m *cells.Moments) { m.Mean += 1 }, want: []int{4}},
		"masked":       {mask: true, want: []int{4}},
	} {
		g := cells.NewGrid(8*16, 4*16)
		s := &cells.Survey{Grid: g}
		mask := make(cells.Mask, 32)
		for c := range s.Channels {
			for range 32 {
				s.Channels[c] = append(s.Channels[c], cells.Moments{Mean: 500, Temporal: 4, Spatial: 9})
			}
		}
		for n, i := range []int{1, 2, 9, 10, 17, 18} { // two across, three down
			s.Channels[1][i] = cells.Moments{Mean: 900}
			if n >= 4 && tc.spoil != nil {
				tc.spoil(&s.Channels[1][i])
			}
			mask[i] = n >= 4 && tc.mask
		}
		s.Channels[1][23] = cells.Moments{Mean: 900} // alone
		var sizes []int
		for _, f := range fields(s, 1, 1, mask) {
			sizes = append(sizes, len(f.cells))
			if math.Abs(float64(f.code)-900) > 1e-9 || f.quiet != 0 {
				t.Errorf("%s: %+v", name, f)
			}
		}
		if !slices.Equal(sizes, tc.want) || len(fields(s, 0, 1, mask)) != 0 {
			t.Errorf("%s: fields of %v cells, want %v", name, sizes, tc.want)
		}
	}
}
