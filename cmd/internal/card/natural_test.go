package card

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

func TestNaturalOrder(t *testing.T) {
	want := []string{
		"", "2", "10", "a", "A1", "a001", "a1x", "a2", "a10", "a10b2", "a10b10", "B", "take10", "take 9.mov", "take 10.mov",
		"take 18446744073709551616.mov", "take 18446744073709551617.mov", "é1",
	}
	got := slices.Clone(want)
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
	slices.SortFunc(got, naturally)
	// Names that differ only in case or zeros go by their bytes.
	slices.Sort(want[4:6])
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// Any three names keep the rules of an order: equal only if the same, antisymmetric, transitive.
func TestNaturalOrderIsAnOrder(t *testing.T) {
	const seed, triples = 7, 200_000
	random := rand.New(rand.NewPCG(seed, 0))
	name := func() string {
		var b strings.Builder
		for range random.IntN(5) {
			b.WriteByte("0019aAb-."[random.IntN(9)])
		}
		return b.String()
	}
	for range triples {
		x, y, z := name(), name(), name()
		switch {
		case (naturally(x, y) == 0) != (x == y):
			t.Fatalf("seed %d: %q and %q compare as %d", seed, x, y, naturally(x, y))
		case naturally(x, y) != -naturally(y, x):
			t.Fatalf("seed %d: %q, %q: %d one way, %d the other", seed, x, y, naturally(x, y), naturally(y, x))
		case naturally(x, y) < 0 && naturally(y, z) < 0 && naturally(x, z) >= 0:
			t.Fatalf("seed %d: %q < %q < %q but not the first before the last", seed, x, y, z)
		}
	}
}

func TestNumbersInNamesCount(t *testing.T) {
	names := make([]string, 0, 1200)
	for n := range 1200 {
		names = append(names, "take"+strings.Repeat("0", n%3)+itoa(n)+".mov")
	}
	want := slices.Clone(names)
	rand.New(rand.NewPCG(3, 4)).Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
	slices.SortFunc(names, naturally)
	if !slices.Equal(names, want) {
		t.Error("takes are not in the order of their numbers")
	}
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + itoa(n%10)
}
