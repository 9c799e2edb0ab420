package container

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/decode/metadata/build"
)

// expand lists the place of every sample the slow way: chunk by chunk.
func expand(sizes []int, perChunk []int, offsets []int) [][2]int {
	var places [][2]int
	for c, at := range offsets {
		for range perChunk[c] {
			if len(places) == len(sizes) {
				return places
			}
			size := sizes[len(places)]
			places = append(places, [2]int{at, size})
			at += size
		}
	}
	return places
}

// Random tables of samples against their slow expansion.
func TestSamplePlaces(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 1))
		var sizes, perChunk, offsets []int
		at := 0
		for range 1 + r.IntN(6) {
			n := 1 + r.IntN(4)
			at += r.IntN(5)
			perChunk, offsets = append(perChunk, n), append(offsets, at)
			for range n {
				size := 1 + r.IntN(9)
				sizes, at = append(sizes, size), at+size
			}
		}
		wide := seed%2 == 1
		media := make([]byte, at)
		for i := range media {
			media[i] = byte(r.Uint32())
		}
		s, stblAt := sourceWithTable(media, sizes, perChunk, offsets, wide)
		table, err := s.sampleTable(stblAt)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for i, want := range expand(sizes, perChunk, offsets) {
			got, err := s.sample(table, i)
			if err != nil || !bytes.Equal(got, media[want[0]:want[0]+want[1]]) {
				t.Fatalf("seed %d, sample %d: got % X, %v", seed, i, got, err)
			}
		}
		if _, err := s.sample(table, len(sizes)); err == nil {
			t.Errorf("seed %d: a sample behind the last is found", seed)
		}
	}
}

// sourceWithTable is media followed by a stbl with one run for each chunk.
func sourceWithTable(media []byte, sizes, perChunk, offsets []int, wide bool) (*source, box) {
	var runs, chunks, sizeTable []byte
	for c := range offsets {
		runs = append(runs, build.Join(build.U32(c+1), build.U32(perChunk[c]), build.U32(1))...)
		if wide {
			chunks = append(chunks, build.U64(offsets[c])...)
		} else {
			chunks = append(chunks, build.U32(offsets[c])...)
		}
	}
	for _, size := range sizes {
		sizeTable = append(sizeTable, build.U32(size)...)
	}
	kind := map[bool]string{false: "stco", true: "co64"}[wide]
	p := build.Join(media, build.MP4("stbl",
		build.Full("stsc", build.U32(len(offsets)), runs), build.Full("stsz", build.U32(0), build.U32(len(sizes)), sizeTable),
		build.Full(kind, build.U32(len(offsets)), chunks)))
	s := sourceOf(p)
	b := s.boxes(int64(len(media)), s.size)[0]
	return s, b
}

func TestUniformSampleSize(t *testing.T) {
	media := []byte("aaabbbcccddd")
	p := build.Join(media, build.MP4("stbl",
		build.Full("stsc", build.U32(1), build.U32(1), build.U32(4), build.U32(1)), build.Full("stsz", build.U32(3),
			build.U32(4)), build.Full("stco", build.U32(1), build.U32(0))))
	s := sourceOf(p)
	table, err := s.sampleTable(s.boxes(int64(len(media)), s.size)[0])
	if err != nil {
		t.Fatal(err)
	}
	if got, err := s.sample(table, 2); err != nil || string(got) != "ccc" {
		t.Errorf("got %q, %v", got, err)
	}
}

func TestDamagedSampleTables(t *testing.T) {
	good := map[string][]byte{
		"stsc": build.Full("stsc", build.U32(1), build.U32(1), build.U32(1), build.U32(1)),
		"stsz": build.Full("stsz", build.U32(0), build.U32(1), build.U32(4)),
		"stco": build.Full("stco", build.U32(1), build.U32(0)),
	}
	for name, bad := range map[string]map[string][]byte{
		"no sizes":             {"stsz": nil},
		"no runs":              {"stsc": nil},
		"no offsets":           {"stco": nil},
		"empty runs":           {"stsc": build.Full("stsc", build.U32(0))},
		"no samples in chunks": {"stsc": build.Full("stsc", build.U32(1), build.U32(1), build.U32(0), build.U32(1))},
		"chunk 0":              {"stsc": build.Full("stsc", build.U32(1), build.U32(0), build.U32(1), build.U32(1))},
		"runs that go back": {"stsc": build.Full("stsc", build.U32(2), build.U32(5), build.U32(1), build.U32(1),
			build.U32(2), build.U32(1), build.U32(1))},
		"a sample too large": {"stsz": build.Full("stsz", build.U32(maxSample+1), build.U32(1))},
		"offset outside":     {"stco": build.Full("stco", build.U32(1), build.U32(1<<30))},
		"offset negative":    {"stco": build.Full("co64", build.U32(1), build.U64(-8))},
		"sizes cut off":      {"stsz": build.Full("stsz", build.U32(0), build.U32(1))},
	} {
		list := map[string][]byte{}
		for k, v := range good {
			list[k] = v
		}
		for k, v := range bad {
			list[k] = v
		}
		s := sourceOf(build.MP4("stbl", list["stsc"], list["stsz"], list["stco"]))
		table, err := s.sampleTable(s.boxes(0, s.size)[0])
		if err == nil {
			_, err = s.sample(table, 0)
		}
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestSpread(t *testing.T) {
	for _, c := range []struct{ count, n int }{{0, 65}, {1, 65}, {2, 65}, {65, 65}, {66, 65}, {1001, 65}, {4380, 65},
		{1 << 31, 65}} {
		got := spread(c.count, c.n)
		if len(got) != min(c.count, c.n) || !slices.IsSorted(got) || len(slices.Compact(slices.Clone(got))) != len(got) {
			t.Errorf("%d of %d: %v", c.n, c.count, got)
		}
		if c.count > 0 && (got[0] != 0 || got[len(got)-1] != c.count-1) {
			t.Errorf("%d of %d: first %d, last %d", c.n, c.count, got[0], got[len(got)-1])
		}
		if c.count > c.n && !slices.Contains(got, (c.count-1)/2) {
			t.Errorf("%d of %d: the middle is missing", c.n, c.count)
		}
	}
}
