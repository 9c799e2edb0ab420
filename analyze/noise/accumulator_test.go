package noise

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

// same compares quantities bit by bit; what is unknown equals what is unknown.
func same[T ~float64]() cmp.Option {
	return cmp.Comparer(func(a, b T) bool {
		x, y := float64(a), float64(b)
		return math.Float64bits(x) == math.Float64bits(y) || math.IsNaN(x) && math.IsNaN(y)
	})
}

// exact compares results bit by bit.
var exact = cmp.Options{same[curve.Stops](), same[curve.Light](), same[curve.Code](), same[curve.CodeVariance](),
	same[curve.Decibels](), same[curve.Ratio](), same[curve.Share]()}

// TestMergeInAnyOrder measures a clip in one accumulator and in one for each group, merged in
// random orders and in two halves, with one to three workers: results are the same bits.
func TestMergeInAnyOrder(t *testing.T) {
	for _, k := range testframes.Kinds {
		frames := testframes.Make(k, 112, 80, 10, 48, testframes.Contents(10, 3)["grainy"])
		r := recordingOf(testframes.Reading(t, 10))
		spans := spansOf(len(frames), &r)
		if len(spans) < 5 {
			t.Fatalf("only %d groups to shuffle", len(spans))
		}
		want := measure(frames, r)
		if len(want.Tones) == 0 || len(want.Groups) != len(spans) {
			t.Fatalf("%s: %d tones, %d groups", k.Name, len(want.Tones), len(want.Groups))
		}
		random := rand.New(rand.NewPCG(1, 2))
		for workers := 1; workers <= 3; workers++ {
			parts := partsOf(frames, spans, r, workers)
			random.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
			left, right := New(r), New(r)
			for i, part := range parts {
				if i%2 == 0 {
					left.Merge(part)
				} else {
					right.Merge(part)
				}
			}
			left.Merge(right)
			for range 2 { // a Result may be asked for again
				if d := cmp.Diff(want, left.Result(), exact); d != "" {
					t.Fatalf("%s, %d workers: results differ:\n%s", k.Name, workers, d)
				}
			}
		}
	}
}

// partsOf measures each group by itself.
func partsOf(frames []*decode.Frame, spans []decode.Span, r Recording, workers int) (parts []*Accumulator) {
	for group, span := range spans {
		a := New(r)
		walkGroup(frames[span.First:span.First+span.Count], group, r, workers, a.Collect)
		parts = append(parts, a)
	}
	return parts
}

// TestNothingCollected: without a frame there is a result, and it holds no figure.
func TestNothingCollected(t *testing.T) {
	r := New(recordingOf(testframes.Reading(t, 10))).Result()
	if r.Tones == nil || r.Channels == nil || r.Codec.ByPicture == nil {
		t.Errorf("%+v: lists are empty, not missing", r)
	}
	if curve.Finite(r.Floor) || curve.Finite(r.GrainPx) || r.Model != nil || r.Suppressed || r.RejectedShare != 0 {
		t.Errorf("%+v of nothing", r)
	}
}

// TestSamplesAreCounted: every whole cell of every pair is looked at, and those that hold a sample
// at the ceiling are not used: one under a ceiling of 900 is no reason, one over it is.
func TestSamplesAreCounted(t *testing.T) {
	for level, want := range map[uint16]int{899: 4, 901: 3} {
		film := testframes.Make(testframes.Kinds[2], 40, 33, 10, 2, func(frame, plane, x, y int) uint16 {
			switch {
			case plane > 0:
				return 512
			case x == 5 && y == 5:
				return level
			}
			return uint16(890 + (x*7+y*3+frame*11)%5)
		})
		r := recordingOf(testframes.Reading(t, 10))
		r.Clipped = [3]curve.FileCode{900, 900, 900}
		scale := newToneScale(r.Table)
		var g *group
		walkGroup(film, 0, r, 2, func(f *cells.Frame) {
			if f.Start {
				g = newGroup(f)
			}
			f2 := *f
			f2.End = false // the samples are kept
			g.collect(&f2, scale)
		})
		if len(g.batch.samples) != want || g.looked != 4 || g.pairs != 1 || g.frames != 2 {
			t.Errorf("a sample at code %d under a ceiling of 900: %d cells used of %d, want %d of 4",
				level, len(g.batch.samples), g.looked, want)
		}
	}
}

// TestSampleOfCell: a cell whose samples are all 422, in the next frame 420 and 424 by turns: the
// differences are -2 and 2, the sum of their squares 4 x 256, the variance of one frame's noise
// 4 x 256 / 2 / 253, that within the second frame 4 x 256 / 255 (worked by hand).
func TestSampleOfCell(t *testing.T) {
	film := testframes.Make(testframes.Kinds[4], 16, 16, 10, 2, func(frame, _, x, _ int) uint16 {
		return uint16(420 + 4*(x%2)*(1-frame) + 2*frame)
	})
	walkGroup([]*decode.Frame{film[1], film[0]}, 0, recordingOf(testframes.Reading(t, 10)), 1, func(f *cells.Frame) {
		if f.Before == nil {
			return
		}
		c := sampleOf(&f.Cells[0])
		near(t, "code", c.code, 422.0, 1e-12)
		near(t, "variance", c.variance, 4*256/2/253.0, 1e-7) // single precision
		near(t, "within the frame", spatialOf(&f.Cells[0]), 4*256/255.0, 1e-12)
		if c.repeated {
			t.Error("counts as repeated")
		}
	})
}
