package variation

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
)

// TestLimits puts drift, step and swing just below and just above what is told: a tenth of a stop
// over the clip, 0.15 stop between two moments, 0.02 stop peak to peak.
func TestLimits(t *testing.T) {
	moments := func(level func(i int) float64) (out []placement.At) {
		for i := range 12 {
			out = append(out, placement.At{T: curve.Seconds(i), Stops: curve.Stops(level(i))})
		}
		return out
	}
	frames := func(swing float64) [][]placement.At {
		group := make([]placement.At, 8)
		for i := range group {
			s := float64(i) / 24
			group[i] = placement.At{T: curve.Seconds(s), Stops: curve.Stops(swing / 2 * math.Cos(2*math.Pi*4*s))}
		}
		return [][]placement.At{group, group, group}
	}
	for _, side := range []float64{-0.001, 0.001} {
		told := func(v curve.Stops) bool { return curve.Finite(v) }
		// Twelve moments reach from the middle of the first twelfth to that of the last.
		r := tell(moments(func(i int) float64 { return (0.1 + side) * float64(i) / 12 }), nil, 24)
		if told(r.Drift) != (side > 0) || told(r.Step) {
			t.Errorf("a drift of %.3f: %+v", 0.1+side, r)
		}
		r = tell(moments(func(i int) float64 { return (0.15 + side) * float64(i/6) }), nil, 24)
		if told(r.Step) != (side > 0) {
			t.Errorf("a step of %.3f: %+v", 0.15+side, r)
		}
		if r := tell(nil, frames(0.02+side), 24); told(r.Flicker) != (side > 0) {
			t.Errorf("a swing of %.3f: %+v", 0.02+side, r)
		}
	}
}

// TestMergeInAnyOrder: groups that accumulators share and merge in any order give the bits of one
// that saw them all in order.
func TestMergeInAnyOrder(t *testing.T) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	table := curve.Reading{Curve: c, Bits: 10}.Table()
	const groups, each = 6, 8
	// A swing of a tenth of a stop, four times a second, with noise.
	frames := testframes.Make(testframes.Kinds[0], 64, 48, 10, groups*each, func(frame, plane, x, y int) uint16 {
		noise := (x*7 + y*13 + frame*29) % 5
		return uint16(420 + 3.7*math.Cos(2*math.Pi*4*float64(frame)/25) + float64(noise))
	})
	walk := func(a *Accumulator, number int) {
		w := cells.NewWalker(cells.Walk{Reading: table.Reading, Matrix: curve.BT709, Workers: 2}, a.Collect)
		defer w.Drop()
		for _, f := range frames[number*each : (number+1)*each] {
			f.Group = number
			w.Add(f)
		}
		w.Finish()
	}
	var moments []placement.At
	one := New(table)
	for i := range groups {
		walk(one, i)
		moments = append(moments, placement.At{T: curve.Seconds(i), Stops: curve.Stops(i) / 20})
	}
	random := rand.New(rand.NewPCG(5, 5))
	merged := New(table)
	shuffled := make([]placement.At, groups)
	for at, i := range random.Perm(groups) {
		part := New(table)
		walk(part, i)
		merged.Merge(part)
		shuffled[at] = moments[i]
	}
	want := one.Result(moments, 25)
	if d := cmp.Diff(want, merged.Result(shuffled, 25), testframes.SameBits()); d != "" {
		t.Error(d)
	}
	if !curve.Finite(want.Drift) {
		t.Errorf("nothing to compare: %+v", want)
	}
}

// TestFrameLevel: a frame's level is the mean of its cells' levels, by their pixels; without light
// it is the darkest.
func TestFrameLevel(t *testing.T) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	table := curve.Reading{Curve: c, Bits: 10}.Table()
	a := New(table)
	f := &cells.Frame{Frame: &decode.Frame{Time: 2}, Start: true, Cells: []cells.Cell{
		{Sum: 420 * 256, Pixels: 256}, {Sum: 500 * 64, Pixels: 64}, {Sum: 0, Pixels: 64},
	}}
	a.Collect(f)
	want := (256*table.Stops[420] + 64*table.Stops[500] - 64*12) / 384
	if got := a.groups[0].frames[0]; got.T != 2 || math.Abs(float64(got.Stops-want)) > 1e-6 {
		t.Errorf("level %v at %v, want %v", float64(got.Stops), float64(got.T), float64(want))
	}
}
