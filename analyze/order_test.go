package analyze

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
)

// groupReel gives frames in memory, and the groups it is asked for in any order.
type groupReel struct {
	frames []*decode.Frame
	order  []int
}

func (g *groupReel) Info() decode.Info {
	p := g.frames[0].Planes[0]
	return decode.Info{Path: "reel", Codec: "rawvideo", Bits: 10, Chroma: "4:2:2", Width: p.Width, Height: p.Height,
		RateNum: 25, RateDen: 1, Frames: len(g.frames)}
}

func (g *groupReel) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	for i := range opt.Spans {
		group := i
		if len(g.order) == len(opt.Spans) {
			group = g.order[i]
		}
		span := opt.Spans[group]
		for _, frame := range g.frames[span.First : span.First+span.Count] {
			f := *frame
			f.Group = group
			if err := visit(&f); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// same compares results bit by bit.
var same = []cmp.Option{testframes.SameBits(), cmp.Comparer(func(a, b *curve.Curve) bool { return a == b })}

// TestAnyOrderAnyWorkers measures a clip with one to three workers and its groups in any order:
// the results are the same bits.
func TestAnyOrderAnyWorkers(t *testing.T) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	k := testframes.Kinds[1]
	clip := &groupReel{frames: testframes.Make(k, 176, 144, 10, 60, testframes.Contents(10, 3)["grainy"])}
	how := metadata.Settled{Reading: curve.Reading{Curve: c, Bits: 10}, Matrix: curve.BT709}
	area := placement.Patch{Region: geometry.Rect{X: 10, Y: 10, W: 100, H: 90}, Reflectance: 0.18}
	set := Settings{GreyFrom: placement.GreyFrom{Reflectance: 0.18, Regions: []placement.Patch{area}}}
	random := rand.New(rand.NewPCG(1, 2))
	var want *Result
	for threads := 1; threads <= 3; threads++ {
		set.Threads = threads
		for range 3 {
			got, err := Clip(t.Context(), clip, how, set, nil)
			if err != nil {
				t.Fatal(err)
			}
			if want == nil {
				want = got
			} else if d := cmp.Diff(want, got, same...); d != "" {
				t.Fatalf("%d workers, groups %v: results differ:\n%s", threads, clip.order, d)
			}
			clip.order = random.Perm(len(want.Moments))
		}
	}
	if len(want.Moments) < 5 {
		t.Errorf("only %d groups to shuffle", len(want.Moments))
	}
}

// TestInstrumentsMerge: sets of instruments that each saw one group, merged in any order, sum up to
// the bits of one set that saw all in order; summing up twice changes nothing.
func TestInstrumentsMerge(t *testing.T) {
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	frames := testframes.Make(testframes.Kinds[0], 130, 97, 10, 40, testframes.Contents(10, 5)["grainy"])
	how := metadata.Settled{Reading: curve.Reading{Curve: c, Bits: 10}, Matrix: curve.BT709}
	clip := &groupReel{frames: frames}
	m := &measurement{clip: clip, info: clip.Info(), how: how, table: how.Reading.Table()}
	if err := m.scout(t.Context()); err != nil {
		t.Fatal(err)
	}
	p := scheduleOf(m.groups, len(frames), false, false)
	one := m.instruments(p)
	parts := make([][]instrument, len(p.Spans))
	for i, span := range p.Spans {
		parts[i] = m.instruments(p)
		w := cells.NewWalker(cells.Walk{Reading: how.Reading, Matrix: how.Matrix, Workers: 2,
			Thresholds: cells.NewThresholds(m.ceilings.From, how.Reading.Chroma(how.Matrix))}, func(f *cells.Frame) {
			collect(one, f)
			collect(parts[i], f)
		})
		for _, f := range frames[span.First : span.First+span.Count] {
			f.Group = i
			w.Add(f)
		}
		w.Finish()
	}
	want := m.result(one)
	merged := m.instruments(p)
	for _, i := range rand.New(rand.NewPCG(4, 4)).Perm(len(parts)) {
		merge(merged, parts[i])
	}
	for range 2 {
		if d := cmp.Diff(want, m.result(merged), same...); d != "" {
			t.Errorf("merged in another order:\n%s", d)
		}
	}
}
