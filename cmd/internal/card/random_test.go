package card

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A frame of numbered pictures of a folder, by its number.
func pictureName(prefix string, width, n int) string {
	return fmt.Sprintf("%s%0*d.dpx", prefix, width, n)
}

// runsOf lists what a folder of numbered pictures holds: each run of at least two numbers without a
// gap, by trying every number.
func runsOf(folder, prefix string, width int, there map[int]bool) (names []string) {
	for n := 0; n <= 120; n++ {
		if !there[n] || there[n-1] {
			continue
		}
		last := n
		for there[last+1] {
			last++
		}
		if last > n {
			names = append(names, fmt.Sprintf("%s/%s[%0*d-%0*d].dpx", folder, prefix, width, n, width, last))
		}
	}
	return names
}

// Of random numbered pictures every run is one clip, in order, and a single picture is none unless
// it is named.
func TestSequencesOfRandomPictures(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 91))
		there := map[int]bool{}
		width := 3 + random.IntN(3)
		var files []string
		for range 3 + random.IntN(40) {
			n := random.IntN(60)
			if !there[n] {
				files = append(files, "shot/"+pictureName("a_", width, n))
			}
			there[n] = true
		}
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			inFolder(t, files...)
			want := runsOf("shot", "a_", width, there)
			got := names(find(t, "shot").Entries)
			if len(want) == 0 {
				want = []string{"shot"} // said to hold no clip
			}
			if !slices.Equal(got, want) {
				t.Errorf("seed %d:\n got %q\nwant %q", seed, got, want)
			}
			checkNamedPictures(t, random, files, there, width)
		})
	}
}

// checkNamedPictures names one picture: it stands for those after it up to the next gap.
func checkNamedPictures(t *testing.T, random *rand.Rand, files []string, there map[int]bool, width int) {
	t.Helper()
	path := files[random.IntN(len(files))]
	n, err := strconv.Atoi(strings.TrimSuffix(strings.TrimPrefix(path, "shot/a_"), ".dpx"))
	if err != nil {
		t.Fatal(err)
	}
	last, want := n, path
	for there[last+1] {
		last++
	}
	if last > n {
		want = fmt.Sprintf("shot/a_[%0*d-%0*d].dpx", width, n, width, last)
	}
	if got := names(find(t, path).Entries); !slices.Equal(got, []string{want}) {
		t.Errorf("%s alone: %q, want %q", path, got, want)
	}
}

// Naming every clip of a folder in any order, or some twice, gives each once, in the order of the
// first time it is named.
func TestNamedTwiceIsListedOnce(t *testing.T) {
	inFolder(t, "d/a1.mov", "d/a2.mov", "d/a10.mov", "d/e/b.mxf")
	all := names(find(t, "d").Entries)
	if want := []string{"d/a1.mov", "d/a2.mov", "d/a10.mov", "d/e/b.mxf"}; !slices.Equal(all, want) {
		t.Fatalf("got %q", all)
	}
	for seed := range uint64(50) {
		random := rand.New(rand.NewPCG(seed, 92))
		var named, want []string
		for range 1 + random.IntN(10) {
			name := all[random.IntN(len(all))]
			if !slices.Contains(want, name) {
				want = append(want, name)
			}
			named = append(named, []string{name, "./" + name, "d/../" + name}[random.IntN(3)])
		}
		got := names(find(t, named...).Entries)
		for i := range got {
			got[i] = filepath.ToSlash(filepath.Clean(got[i]))
		}
		if !slices.Equal(got, want) {
			t.Errorf("seed %d: %q gives\n%q, want\n%q", seed, named, got, want)
		}
	}
}

// slowNaturally compares as naturally does by padding every number with zeros to one length.
func slowNaturally(name string) string {
	var b strings.Builder
	digits := ""
	flush := func() {
		if digits != "" {
			fmt.Fprintf(&b, "%030s", digits)
		}
		digits = ""
	}
	for _, r := range strings.ToLower(name) {
		if r >= '0' && r <= '9' {
			digits += string(r)
			continue
		}
		flush()
		b.WriteRune(r)
	}
	flush()
	return b.String()
}

// Names of cameras sort as they do with all numbers padded to one length.
func TestNaturalOrderAgainstPadding(t *testing.T) {
	for seed := range uint64(2000) {
		random := rand.New(rand.NewPCG(seed, 93))
		name := func() string {
			return fmt.Sprintf("%c%0*d_C%d.mov", "aAb"[random.IntN(3)], random.IntN(5), random.IntN(200), random.IntN(30))
		}
		x, y := name(), name()
		if a, b := slowNaturally(x), slowNaturally(y); a != b && (naturally(x, y) < 0) != (a < b) {
			t.Fatalf("%q and %q compare as %d, padded as %d", x, y, naturally(x, y), strings.Compare(a, b))
		}
	}
}
