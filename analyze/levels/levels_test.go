package levels

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// tableOf reads frames of a depth with a curve that has a toe.
func tableOf(t testing.TB, bits int) *curve.Table {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Bits: bits}.Table()
}

// walk gives groups of frames, by their numbers, to an accumulator.
func walk(a *Accumulator, groups [][]*decode.Frame, numbers ...int) {
	w := cells.NewWalker(cells.Walk{Reading: a.table.Reading, Matrix: curve.BT709, Workers: 2}, a.Collect)
	defer w.Drop()
	for _, i := range numbers {
		for _, f := range groups[i] {
			f.Group = i
			w.Add(f)
		}
	}
	w.Finish()
}

// groupsOf makes groups of so many frames.
func groupsOf(k testframes.Kind, width, height, bits, groups, each int,
	value testframes.Content) (all [][]*decode.Frame) {
	frames := testframes.Make(k, width, height, bits, groups*each, value)
	for i := range groups {
		all = append(all, frames[i*each:(i+1)*each])
	}
	return all
}

// TestMergeInAnyOrder: groups that accumulators share and merge in any order give the bits of one
// that saw them all in order.
func TestMergeInAnyOrder(t *testing.T) {
	for _, k := range testframes.Kinds {
		table := tableOf(t, 10)
		all := groupsOf(k, 130, 97, 10, 5, 3, testframes.Contents(10, 11)["grainy"])
		one := New(table)
		walk(one, all, 0, 1, 2, 3, 4)
		random := rand.New(rand.NewPCG(3, 3))
		merged := New(table)
		for _, i := range random.Perm(len(all)) {
			part := New(table)
			walk(part, all, i)
			merged.Merge(part)
		}
		if d := cmp.Diff(one.Result(), merged.Result(), testframes.SameBits()); d != "" {
			t.Errorf("%s:\n%s", k.Name, d)
		}
	}
}

// TestAgainstSamples compares log-average, histogram, percentiles and cells with loops over the
// samples of one frame, or of a cell.
func TestAgainstSamples(t *testing.T) {
	table := tableOf(t, 12)
	groups := groupsOf(testframes.Kinds[0], 61, 47, 12, 1, 2, testframes.Contents(12, 2)["grainy"])
	a := New(table)
	walk(a, groups, 0)
	r := a.Result()
	var sum, n, over float64
	for _, f := range groups[0] {
		for y := 0; y < 47; y++ {
			for _, code := range f.Planes[0].Row(y) {
				stops := max(table.Reading.Stops(curve.FileCode(code)), Darkest)
				sum += float64(stops)
				n++
				if stops >= 0.005 {
					over++
				}
			}
		}
	}
	if got := r.Scene.Average; math.Abs(float64(got)-sum/n) > 1e-9 || r.Groups[0].Average != got {
		t.Errorf("log-average %v, of the group %v, want %v", float64(got), float64(r.Groups[0].Average), sum/n)
	}
	var above, all float64
	for i, share := range r.Histogram.Shares {
		all += float64(share)
		if r.Histogram.First+curve.Stops(i)*r.Histogram.Step >= 0 {
			above += float64(share)
		}
	}
	if math.Abs(all+float64(r.Histogram.Below)-1) > 1e-9 || math.Abs(above-over/n) > 1e-9 {
		t.Errorf("shares sum to %v, %v of them over grey, want %v", all, above, over/n)
	}
	// The lower right cell is cut off: 13 x 15 samples. Levels are of the first frame.
	sum, n = 0, 0
	for y := 32; y < 47; y++ {
		for _, code := range groups[0][0].Planes[0].Row(y)[48:] {
			sum += float64(code)
			n++
		}
	}
	last := r.Middle.Stops[len(r.Middle.Stops)-1]
	want := table.Reading.Stops(curve.FileCode(sum / n))
	if math.Abs(float64(last-want)) > 1e-12 || r.Middle.Grid.Cols != 4 {
		t.Errorf("last cell of %+v at %v stops, want %v", r.Middle.Grid, float64(last), float64(want))
	}
}

// TestSpacing counts codes in use, and finds combs: every fourth code, and what multiplying by
// 1023/255 leaves; bars and few codes are none.
func TestSpacing(t *testing.T) {
	used := func(codes ...int) []uint64 {
		h := make([]uint64, 1024)
		for _, c := range codes {
			h[c] = 10
		}
		return h
	}
	var fourth, multiplied, dense, few, bars []int
	for i := range 200 {
		fourth = append(fourth, 4*i)
		multiplied = append(multiplied, (i*1023+127)/255)
		dense = append(dense, 100+i)
		bars = append(bars, i/50*200+i%50)
	}
	few = fourth[:10]
	for _, tc := range []struct {
		name       string
		codes      []int
		used, span int
		comb       bool
	}{
		{"every fourth", fourth, 200, 797, true}, {"multiplied", multiplied, 200, 799, true},
		{"dense", dense, 200, 200, false}, {"few", few, 10, 37, false}, {"bars", bars, 200, 650, false},
		{"one", []int{7}, 1, 1, false}, {"none", nil, 0, 0, false},
	} {
		n, span, comb := spacing(used(tc.codes...))
		if n != tc.used || span != tc.span || comb != tc.comb {
			t.Errorf("%s: %d of %d codes, comb %v, want %d of %d, %v", tc.name, n, span, comb, tc.used, tc.span, tc.comb)
		}
	}
}
