package clipping

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
)

// groups makes groups of consecutive frames.
func groups(k testframes.Kind, number, each int) (all [][]*decode.Frame) {
	frames := testframes.Make(k, 130, 97, 10, number*each, testframes.Contents(10, 11)["grainy"])
	for i := range number {
		group := frames[i*each : (i+1)*each]
		for _, f := range group {
			f.Group = i
		}
		all = append(all, group)
	}
	return all
}

// TestFinderMergesInAnyOrder: groups that finders share and merge in any order give the bits of one
// finder that saw them all in order.
func TestFinderMergesInAnyOrder(t *testing.T) {
	for _, k := range testframes.Kinds {
		r := testframes.Reading(t, 10)
		all := groups(k, 6, 2)
		collect := func(f *Finder, group []*decode.Frame) {
			f.Collect(&cells.Frame{Frame: group[0], Start: true})
			f.Collect(&cells.Frame{Frame: group[1], Before: group[0]})
		}
		one := NewFinder(r, curve.BT709, Coding{Lossy: true})
		for _, group := range all {
			collect(one, group)
		}
		for seed := range uint64(3) {
			random := rand.New(rand.NewPCG(seed, 1))
			parts := [3]*Finder{}
			for i := range parts {
				parts[i] = NewFinder(r, curve.BT709, Coding{Lossy: true})
			}
			for _, i := range random.Perm(len(all)) {
				collect(parts[random.IntN(3)], all[i])
			}
			merged := NewFinder(r, curve.BT709, Coding{Lossy: true})
			for _, i := range random.Perm(3) {
				merged.Merge(parts[i])
			}
			if d := cmp.Diff(one.Result(nil), merged.Result(nil), testframes.SameBits()); d != "" {
				t.Errorf("%s, seed %d:\n%s", k.Name, seed, d)
			}
		}
	}
}

// TestCountsMergeInAnyOrder: the same of what counts the samples at the ceilings.
func TestCountsMergeInAnyOrder(t *testing.T) {
	for _, k := range testframes.Kinds {
		r := testframes.Reading(t, 10)
		ceilings := newCeilings(r)
		ceilings.Measured = true
		ceilings.Channel, ceilings.From = [3]curve.FileCode{940, 945, 950}, [3]curve.FileCode{939, 944, 949}
		how := cells.Walk{Reading: r, Matrix: curve.BT709, Workers: 2,
			Thresholds: cells.NewThresholds(ceilings.From, r.Chroma(curve.BT709))}
		walk := func(a *Accumulator, group []*decode.Frame) {
			w := cells.NewWalker(how, a.Collect)
			defer w.Drop()
			for _, f := range group {
				w.Add(f)
			}
			w.Finish()
		}
		all := groups(k, 5, 3)
		one := New(r, ceilings)
		for _, group := range all {
			walk(one, group)
		}
		random := rand.New(rand.NewPCG(7, 7))
		merged := New(r, ceilings)
		for _, i := range random.Perm(len(all)) {
			part := New(r, ceilings)
			walk(part, all[i])
			merged.Merge(part)
		}
		want := one.Result(25)
		if d := cmp.Diff(want, merged.Result(25), testframes.SameBits()); d != "" {
			t.Errorf("%s:\n%s", k.Name, d)
		}
		if want.Clipped.Any == 0 || len(want.Areas) == 0 || len(want.Groups) != 5 {
			t.Errorf("%s: nothing to compare: %+v", k.Name, want)
		}
	}
}

// BenchmarkFinder gathers the tops of a pair and looks for the peaks in them.
func BenchmarkFinder(b *testing.B) {
	for _, size := range [][2]int{{960, 540}, {1920, 1080}, {3840, 2160}} {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			frames := testframes.Make(testframes.Kinds[1], size[0], size[1], 10, 2, func(frame, plane, x, y int) uint16 {
				z := uint32(x*2654435761) ^ uint32(y*40503) ^ uint32(frame*97+plane)*2246822519
				z ^= z >> 15
				return uint16(300 + x*400/size[0] + int(z>>24)%16)
			})
			b.SetBytes(int64(2 * size[0] * size[1] * 2 * 2)) // two bytes a sample, as much chroma as luma
			for b.Loop() {
				finder := NewFinder(testframes.Reading(b, 10), curve.BT709, Coding{})
				finder.Collect(&cells.Frame{Frame: frames[1], Before: frames[0]})
				finder.Result(nil)
			}
		})
	}
}
