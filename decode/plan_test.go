package decode

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestGroups(t *testing.T) {
	for _, c := range []struct {
		frames, groups, perGroup int
		want                     []Span
	}{
		{100, 2, 4, []Span{{23, 4}, {73, 4}}},
		{100, 1, 4, []Span{{48, 4}}},
		{8, 2, 4, []Span{{0, 4}, {4, 4}}},
		{9, 2, 4, []Span{{0, 4}, {4, 4}}},
		{7, 2, 4, []Span{{0, 7}}},
		{3, 2, 4, []Span{{0, 3}}},
		{1, 8, 4, []Span{{0, 1}}},
		{11, 8, 4, []Span{{0, 5}, {5, 6}}},
		{5, 8, 1, []Span{{0, 1}, {1, 1}, {2, 1}, {3, 1}, {4, 1}}},
		{0, 8, 4, nil}, {-3, 8, 4, nil}, {10, 0, 4, nil}, {10, 8, 0, nil},
	} {
		if got := Groups(c.frames, c.groups, c.perGroup); !slices.Equal(got, c.want) {
			t.Errorf("Groups(%d, %d, %d) = %v, want %v", c.frames, c.groups, c.perGroup, got, c.want)
		}
	}
}

// TestGroupsProperties checks, over random plans: in order, within the clip, no overlap, none
// empty, as long as asked for; a clip that is too short is read whole; and the gaps between
// groups, and before and after them, differ by a frame and a half at most from even spacing.
func TestGroupsProperties(t *testing.T) {
	const seed = 5
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 20_000 {
		frames, groups, perGroup := 1+rng.IntN(2000), 1+rng.IntN(20), 1+rng.IntN(20)
		spans := Groups(frames, groups, perGroup)
		checkPlan(t, spans, frames, groups, perGroup)
		if t.Failed() {
			t.Fatalf("seed %d: Groups(%d, %d, %d) = %v", seed, frames, groups, perGroup, spans)
		}
	}
}

func checkPlan(t *testing.T, spans []Span, frames, groups, perGroup int) {
	end, read := 0, 0
	for _, s := range spans {
		if s.First < end || s.Count < min(perGroup, frames) {
			t.Errorf("%v overlaps or is short", s)
		}
		end = s.First + s.Count
		read += s.Count
	}
	if end > frames || len(spans) == 0 || len(spans) > groups {
		t.Errorf("%d groups to frame %d", len(spans), end)
	}
	if frames < groups*perGroup {
		if read != frames {
			t.Errorf("%d frames of a short clip are read", read)
		}
		return
	}
	for i, s := range spans {
		middle := float64(s.First) + float64(perGroup)/2
		even := (float64(i) + 0.5) * float64(frames) / float64(groups)
		if s.Count != perGroup || len(spans) != groups || math.Abs(middle-even) > 1.5 {
			t.Errorf("group %d has its middle at %v, evenly at %v", i, middle, even)
		}
	}
}

func FuzzGroups(f *testing.F) {
	f.Add(math.MaxInt, 3, math.MaxInt/3)
	f.Add(math.MaxInt, 1000, 1000)
	f.Add(-1, -1, -1)
	f.Fuzz(func(t *testing.T, frames, groups, perGroup int) {
		groups %= 1000
		end := 0
		for _, s := range Groups(frames, groups, perGroup) {
			if s.First < end || s.Count <= 0 || s.Count > frames-s.First {
				t.Errorf("Groups(%d, %d, %d) has %v after frame %d", frames, groups, perGroup, s, end)
			}
			end = s.First + s.Count
		}
	})
}
