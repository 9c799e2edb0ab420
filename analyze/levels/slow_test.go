package levels

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
)

// randomHistogram holds a few thousand samples around a few levels.
func randomHistogram(random *rand.Rand, codes int) []uint64 {
	h := make([]uint64, codes)
	for range 1 + random.IntN(4) {
		level, spread := random.Float64()*float64(codes), random.Float64()*float64(codes)/10
		for range 1 + random.IntN(1500) {
			code := level + spread*random.NormFloat64()
			h[int(min(max(code, 0), float64(codes-1)))]++
		}
	}
	return h
}

// samplesOf lists the code of every sample, the lowest first.
func samplesOf(h []uint64) (codes []int) {
	for code, n := range h {
		codes = append(codes, slices.Repeat([]int{code}, int(n))...)
	}
	return codes
}

// TestPercentilesAgainstSortedSamples: a percentile is the least sample that has its share of all
// samples at or below it; the log-average is the mean over the samples one by one.
func TestPercentilesAgainstSortedSamples(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 11))
		table := tableOf(t, []int{8, 10, 12}[seed%3])
		h := randomHistogram(random, table.Reading.Codes())
		samples := samplesOf(h)
		got := sceneOf(h, table)
		for p, stops := range map[float64]curve.Stops{0.01: got.P1, 0.1: got.P10, 0.5: got.P50, 0.9: got.P90,
			0.99: got.P99} {
			at := 0
			for float64(at+1) < p*float64(len(samples)) {
				at++
			}
			want := max(table.Reading.Stops(curve.FileCode(samples[at])), -10)
			if math.Abs(float64(stops-want)) > 1e-12 {
				t.Errorf("seed %d: percentile %g at %v stops, sorted samples have %v", seed, p, float64(stops),
					float64(want))
			}
		}
		var sum float64
		for _, code := range samples {
			sum += max(float64(table.Reading.Stops(curve.FileCode(code))), -12)
		}
		if want := sum / float64(len(samples)); math.Abs(float64(got.Average)-want) > 1e-9 {
			t.Errorf("seed %d: log-average %v, want %v", seed, float64(got.Average), want)
		}
		order := []curve.Stops{got.P1, got.P10, got.P50, got.P90, got.P99}
		if !slices.IsSorted(order) {
			t.Errorf("seed %d: percentiles fall: %v", seed, order)
		}
	}
}

// TestHistogramIsCumulative: up to each edge between bins the histogram holds at least the samples
// whose codes lie wholly under the edge, and at most those that reach below it.
func TestHistogramIsCumulative(t *testing.T) {
	for seed := range uint64(25) {
		table := tableOf(t, []int{8, 10, 12}[seed%3])
		r := table.Reading
		codes := randomHistogram(rand.New(rand.NewPCG(seed, 12)), r.Codes())
		var total float64
		for _, n := range codes {
			total += float64(n)
		}
		h := histogramOf(codes, r)
		below := float64(h.Below)
		for bin, share := range h.Shares {
			edge := r.CodeOf((h.First + curve.Stops(bin)*h.Step).Light())
			var whole, touched float64
			for code, n := range codes {
				if curve.FileCode(code)+0.5 <= edge {
					whole += float64(n) / total
				}
				if curve.FileCode(code)-0.5 < edge {
					touched += float64(n) / total
				}
			}
			if below < whole-1e-9 || below > touched+1e-9 {
				t.Errorf("seed %d, bin %d: %g lies below, want %g to %g", seed, bin, below, whole, touched)
			}
			below += float64(share)
		}
		if math.Abs(below-1) > 1e-9 {
			t.Errorf("seed %d: shares sum to %g", seed, below)
		}
	}
}

// TestDepthsAgree: the same picture in more bits has the same levels, to the last bit where every
// code of ten bits has one of more that means the same.
func TestDepthsAgree(t *testing.T) {
	for seed := range uint64(10) {
		ten, more := tableOf(t, 10), tableOf(t, 12)
		h := randomHistogram(rand.New(rand.NewPCG(seed, 13)), 1024)
		wide := make([]uint64, 4096)
		for code, n := range h {
			wide[4*code] = n
		}
		a, b := sceneOf(h, ten), sceneOf(wide, more)
		for name, pair := range map[string][2]curve.Stops{"average": {a.Average, b.Average}, "1 %": {a.P1, b.P1},
			"10 %": {a.P10, b.P10}, "half": {a.P50, b.P50}, "90 %": {a.P90, b.P90}, "99 %": {a.P99, b.P99}} {
			if math.Abs(float64(pair[0]-pair[1])) > 1e-9 {
				t.Errorf("seed %d, %s: %v stops in 10 bits, %v in 12", seed, name, pair[0], pair[1])
			}
		}
	}
}

// frameOf makes a frame of whole cells, each with one code.
func frameOf(group int, codes []int, moving bool) *cells.Frame {
	f := &cells.Frame{Frame: &decode.Frame{Group: group, Index: 100 * group, Time: float64(group)}, Start: true,
		Grid: cells.NewGrid(16*len(codes), 16), Histogram: make([]uint32, 1024)}
	for _, code := range codes {
		c := cells.Cell{Sum: uint64(code) * cells.Area, Pixels: cells.Area}
		if moving {
			c.Deviation = 1
		}
		f.Cells = append(f.Cells, c)
		f.Histogram[code] += cells.Area
	}
	return f
}

// TestOutsideAndUnderZero: what lies under code 40 or above 1019 is outside narrow range
// (Recommendation ITU-R BT.2100-2, table 9, keeps 1020 to 1023 and black at 64); what lies twelve
// codes under the curve's black and moves is under it. S-Log3 has black at code 95.
func TestOutsideAndUnderZero(t *testing.T) {
	for name, tc := range map[string]struct {
		codes         []int
		mask          cells.Mask
		moving        bool
		outside, dark curve.Share
	}{
		"picture":         {codes: []int{95, 420, 600, 940}, moving: true},
		"under narrow":    {codes: []int{39, 420, 600, 940}, moving: true, outside: 0.25, dark: 0.25},
		"at its edge":     {codes: []int{40, 420, 600, 940}, moving: true, dark: 0.25},
		"above narrow":    {codes: []int{1020, 1023, 600, 1019}, moving: true, outside: 0.5},
		"under black":     {codes: []int{82, 84, 420, 420}, moving: true, dark: 0.25},
		"bars hold still": {codes: []int{64, 64, 420, 420}, moving: false},
		"bars are masked": {codes: []int{4, 4, 420, 420}, mask: cells.Mask{true, true, false, false}, moving: true},
		"one of two masked": {codes: []int{4, 4, 420, 420}, mask: cells.Mask{true, false, false, false}, moving: true,
			outside: curve.Share(1) / 3, dark: curve.Share(1) / 3},
	} {
		a := New(tableOf(t, 10))
		f := frameOf(0, tc.codes, tc.moving)
		f.Mask = tc.mask
		a.Collect(f)
		r := a.Result()
		if math.Abs(float64(r.Outside-tc.outside)) > 1e-12 || math.Abs(float64(r.UnderZero-tc.dark)) > 1e-12 {
			t.Errorf("%s: %g outside, %g under black, want %g and %g", name, float64(r.Outside), float64(r.UnderZero),
				float64(tc.outside), float64(tc.dark))
		}
	}
}

// TestGroupsInOrderOfTime: whatever order groups come in, the result has them in order, with their
// own averages, and the cells of the one in the middle.
func TestGroupsInOrderOfTime(t *testing.T) {
	table := tableOf(t, 10)
	for n := 1; n <= 6; n++ {
		a := New(table)
		for _, group := range rand.New(rand.NewPCG(uint64(n), 14)).Perm(n) {
			a.Collect(frameOf(group, []int{300 + 40*group, 20}, true))
		}
		r := a.Result()
		if !slices.IsSortedFunc(r.Groups, func(x, y Group) int { return cmp.Compare(x.Number, y.Number) }) {
			t.Errorf("%d groups: %+v", n, r.Groups)
		}
		for i, g := range r.Groups {
			want := (table.Reading.Stops(curve.FileCode(300+40*i)) - 12) / 2 // code 20 holds no light
			if g.First != 100*i || g.Frames != 1 || math.Abs(float64(g.Average-want)) > 1e-12 {
				t.Errorf("%d groups: %+v, want an average of %v", n, g, float64(want))
			}
		}
		want := table.Reading.Stops(curve.FileCode(300 + 40*(n/2)))
		if r.Middle.First != 100*(n/2) || math.Abs(float64(r.Middle.Stops[0]-want)) > 1e-12 || r.Middle.Stops[1] != -12 {
			t.Errorf("%d groups: the middle is %+v", n, r.Middle)
		}
	}
}

// TestCombsWithGaps: padded samples are a comb whatever codes of it are used, and samples of the
// file's own depth are none.
func TestCombsWithGaps(t *testing.T) {
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 15))
		every := []int{4, 16}[seed%2]
		padded, own := make([]uint64, 4096), make([]uint64, 4096)
		for i := range 250 {
			if random.Float64() < 0.9 {
				padded[i*every] = 1 + random.Uint64N(90)
			}
			if random.Float64() < 0.7 {
				own[300+i] = 1 + random.Uint64N(90)
			}
		}
		if _, _, comb := spacing(padded); !comb {
			t.Errorf("seed %d: every %d of 4096 codes is no comb", seed, every)
		}
		if used, span, comb := spacing(own); comb || used > span {
			t.Errorf("seed %d: %d of %d codes used are a comb: %v", seed, used, span, comb)
		}
	}
}
