package placement

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

func readingOf(t testing.TB, bits int) curve.Reading {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return curve.Reading{Curve: c, Bits: bits}
}

// TestPatchIsExact compares the sums over areas of odd sizes and places with those of a loop over
// their pixels.
func TestPatchIsExact(t *testing.T) {
	const width, height, frames = 61, 47, 3
	for name, value := range testframes.Contents(12, 2) {
		for _, area := range []geometry.Rect{
			{X: 0, Y: 0, W: 1, H: 1}, {X: 60, Y: 46, W: 1, H: 1}, {X: 3, Y: 5, W: 33, H: 33},
			{X: 0, Y: 0, W: 61, H: 47}, {X: 7, Y: 1, W: 16, H: 16},
		} {
			film := testframes.Make(testframes.Kinds[0], width, height, 12, frames, value)
			got := newPatchSums(area, 1<<12)
			for _, f := range film {
				got.add(f.Planes[0])
			}
			histogram, blocks := slowPatch(film, area)
			if !slices.Equal(got.histogram, histogram) || !slices.Equal(got.blocks, blocks) {
				t.Errorf("%s, %v: histogram or blocks differ", name, area)
			}
		}
	}
}

// slowPatch adds up an area pixel by pixel.
func slowPatch(film []*decode.Frame, area geometry.Rect) (histogram, blocks []uint64) {
	across := (area.W + 15) / 16
	histogram, blocks = make([]uint64, 1<<12), make([]uint64, across*((area.H+15)/16))
	for _, f := range film {
		for y := range area.H {
			for x := range area.W {
				p := f.Planes[0]
				v := p.Samples[(area.Y+y)*p.Stride+area.X+x]
				histogram[v]++
				blocks[y/16*across+x/16] += uint64(v)
			}
		}
	}
	return histogram, blocks
}

// TestMergeInAnyOrder: groups that accumulators share and merge in any order give the bits of one
// that saw them all in order.
func TestMergeInAnyOrder(t *testing.T) {
	r := readingOf(t, 10)
	from := GreyFrom{Reflectance: 0.18, Regions: []Patch{
		{geometry.Rect{X: 3, Y: 5, W: 40, H: 41}, 0.18}, {geometry.Rect{X: 50, Y: 1, W: 70, H: 90}, 0.9},
	}}
	for _, k := range testframes.Kinds {
		const groups, each = 6, 3
		frames := testframes.Make(k, 130, 97, 10, groups*each, testframes.Contents(10, 11)["grainy"])
		var scene []levels.Group
		walk := func(a *Accumulator, number int) {
			w := cells.NewWalker(cells.Walk{Reading: r, Matrix: curve.BT709, Workers: 2}, a.Collect)
			defer w.Drop()
			for _, f := range frames[number*each : (number+1)*each] {
				f.Group = number
				w.Add(f)
			}
			w.Finish()
		}
		one := New(r.Table(), from)
		for i := range groups {
			walk(one, i)
			scene = append(scene, levels.Group{Number: i, T: curve.Seconds(i), Frames: each, Average: curve.Stops(i) / 7})
		}
		merged := New(r.Table(), from)
		for _, i := range rand.New(rand.NewPCG(5, 5)).Perm(groups) {
			part := New(r.Table(), from)
			walk(part, i)
			merged.Merge(part)
		}
		search := NewSearch(r, curve.BT709, from, 0)
		want, gap := one.Result(scene, search)
		got, gapToo := merged.Result(scene, search)
		if d := cmp.Diff(want, got, testframes.SameBits()); d != "" || gap != gapToo {
			t.Errorf("%s: gaps %v %v\n%s", k.Name, float64(gap), float64(gapToo), d)
		}
		if want.Method != Region || len(want.Series) != groups || !curve.Finite(gap) {
			t.Errorf("%s: nothing to compare: %+v", k.Name, want)
		}
	}
}

// TestBestEvidence: an area given comes before a chart, a chart before a card, a card before a
// face; what is not sure is passed over, and what is asked for is taken whatever else there is.
func TestBestEvidence(t *testing.T) {
	p := func(method Method, confidence float64) *Placement {
		return &Placement{Method: method, Confidence: curve.Ratio(confidence)}
	}
	for _, tc := range []struct {
		name  string
		grey  Method
		found []*Placement
		want  Method
	}{
		{"all", Auto, []*Placement{p(Scene, 0), p(Face, 1), p(Card, 1), p(Chart, 1), p(Region, math.NaN())}, Region},
		{"no area", "", []*Placement{p(Scene, 0), p(Face, 1), p(Card, 1), p(Chart, 1)}, Chart},
		{"a doubtful chart", Auto, []*Placement{p(Scene, 0), p(Card, 0.9), p(Chart, 0.74)}, Card},
		{"a chart just sure enough", Auto, []*Placement{p(Scene, 0), p(Card, 0.9), p(Chart, 0.75)}, Chart},
		{"nothing sure", Auto, []*Placement{p(Scene, 0), p(Face, 0.3), p(Card, 0.2)}, Scene},
		{"a face asked for", Face, []*Placement{p(Scene, 0), p(Face, 0.3), p(Card, 1)}, Face},
		{"a card asked for and not found", Card, []*Placement{p(Scene, 0), p(Chart, 1)}, ""},
	} {
		slices.SortStableFunc(tc.found, byWorthThenSure)
		var got Method
		if best := choose(tc.found, tc.grey); best != nil {
			got = best.Method
			checkCandidates(t, tc.name, best, len(tc.found))
		}
		if got != tc.want {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}
}

func checkCandidates(t *testing.T, name string, best *Placement, found int) {
	t.Helper()
	used := 0
	for _, c := range best.Candidates {
		if c.Used {
			used++
			if c.Method != best.Method {
				t.Errorf("%s: %s is used beside %s", name, c.Method, best.Method)
			}
		}
	}
	if used != 1 || len(best.Candidates) != found {
		t.Errorf("%s: %d of %d candidates are used, %d were found", name, used, len(best.Candidates), found)
	}
}

// TestCarry: a placement carried over keeps stops, interval and method; where it reads is that of
// the clip it is carried to, whose own candidates stand beside it. In JSON nothing is a null list.
func TestCarry(t *testing.T) {
	r := readingOf(t, 12)
	held := &Placement{Stops: 1.25, Low: 1.2, High: 1.3, Method: Card, Reflectance: 0.18, Confidence: 0.9,
		Series: []At{{1, 1.25}}, Region: &geometry.Rect{X: 1, Y: 2, W: 3, H: 4},
		Candidates: []Candidate{{Method: Card, Used: true}}}
	own := &Placement{Method: Scene, Weak: true, Candidates: []Candidate{{Method: Scene, Stops: 0.5, Used: true}}}
	got := Carry(held, "day/A001.mov", own, r)
	if got.Stops != 1.25 || got.Low != 1.2 || got.High != 1.3 || got.Method != Card || got.Weak ||
		got.Carried != "day/A001.mov" {
		t.Errorf("%+v", got)
	}
	// S-Log3: 0.18 x 2^1.25 = 0.4281 reads (420 + 261.5 log10((0.4281 + 0.01) / 0.19)) / 1023, its
	// published formula worked by hand: code 514.87, (514.87 - 64) / 8.76 = 51.47 %.
	if math.Abs(float64(got.Code)-514.87) > 0.05 || math.Abs(float64(got.Percent)-51.47) > 0.01 {
		t.Errorf("reads %v, %v %%", float64(got.Code), float64(got.Percent))
	}
	if got.Region != nil || len(got.Series) != 0 || len(got.Candidates) != 1 || got.Candidates[0].Method != Scene {
		t.Errorf("region %v, series %v, candidates %+v", got.Region, got.Series, got.Candidates)
	}
	raw, err := json.Marshal(Carry(held, "x", nil, r))
	if err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	for _, list := range []string{"series", "candidates"} {
		if _, ok := back[list].([]any); !ok {
			t.Errorf("%s is %v", list, back[list])
		}
	}
}
