package cells_test

import (
	"fmt"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// An accumulator is an empty instrument, to be copied as the start of a new one: it counts frames
// and groups. A real one lives in a folder of its own, analyze/NAME, and is named in the list of
// instruments in analyze, which hands each of them every frame.
type accumulator struct {
	frames, groups uint64 // integers, so that merging in any order gives the same
}

// A result is what the instrument found.
type result struct {
	PerGroup curve.Ratio `json:"per_group"` // frames a group; unknown without a group
}

// Collect takes the next frame. What it needs of the frame's slices it copies: they are used again.
func (a *accumulator) Collect(f *cells.Frame) {
	a.frames++
	if f.Start {
		a.groups++
	}
}

// Merge adds what another accumulator collected of other groups.
func (a *accumulator) Merge(other *accumulator) {
	a.frames += other.frames
	a.groups += other.groups
}

// Result works out what was found. It changes nothing.
func (a *accumulator) Result() result {
	if a.groups == 0 {
		return result{curve.Unknown[curve.Ratio]()}
	}
	return result{curve.Ratio(a.frames) / curve.Ratio(a.groups)}
}

// Two accumulators share the groups of a clip and are merged: the test that a new instrument
// starts with.
func Example() {
	grey := func(_, _, _, _ int) uint16 { return 420 }
	frames := testframes.Make(testframes.Kinds[1], 64, 48, 10, 6, grey)
	var first, second accumulator
	collect(frames[:4], 0, &first)
	collect(frames[4:], 1, &second)
	first.Merge(&second)
	fmt.Println(first.Result().PerGroup, "frames a group")
	// Output: 3 frames a group
}

// collect walks one group of frames.
func collect(frames []*decode.Frame, group int, a *accumulator) {
	s, err := curve.Find("S-Log3")
	if err != nil {
		fmt.Println(err)
		return
	}
	how := cells.Walk{Reading: curve.Reading{Curve: s, Bits: 10}, Matrix: curve.BT709, Workers: 2}
	w := cells.NewWalker(how, a.Collect)
	defer w.Drop()
	for _, f := range frames {
		f.Group = group
		w.Add(f)
	}
	w.Finish()
}
