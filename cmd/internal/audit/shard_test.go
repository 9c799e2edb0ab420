package audit

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"stopledger/cmd/internal/card"
)

// listed is a listing of clips of three folders, below a folder that is called differently elsewhere.
func listed(below string, clips int) card.Listing {
	var l card.Listing
	for i := range clips {
		path := fmt.Sprintf("roll%d/C%04d.mov", i%300, i)
		l.Entries = append(l.Entries, card.Entry{Path: filepath.Join(below, path), Below: path})
	}
	return l
}

// Every clip is in one shard, the same one wherever its folder is mounted, and shards are of about one
// size: within five standard deviations of a binomial count.
func TestShardsAreEven(t *testing.T) {
	const clips = 6000
	here, there := listed("/media/card", clips), listed("/mnt/nas/7", clips)
	for _, n := range []int{1, 2, 3, 7, 64} {
		for _, hold := range []bool{false, true} {
			seen := 0
			for k := 1; k <= n; k++ {
				s := Shard{k, n}
				own, share := s.Of(here, hold)
				other, _ := s.Of(there, hold)
				if len(share.Run) != clips || len(own.Entries) != len(other.Entries) {
					t.Fatalf("%v: a run of %d, %d clips here and %d there", s, len(share.Run), len(own.Entries), len(other.Entries))
				}
				for i := range own.Entries {
					if own.Entries[i].Below != other.Entries[i].Below {
						t.Errorf("%v: %s here, %s there", s, own.Entries[i].Below, other.Entries[i].Below)
					}
				}
				seen += len(own.Entries)
				units := float64(clips)
				if hold {
					units = 300
				}
				p := 1 / float64(n)
				if off := float64(len(own.Entries))/clips - p; math.Abs(off) > 5*math.Sqrt(p*(1-p)/units) {
					t.Errorf("%v, whole folders %v: %d of %d clips", s, hold, len(own.Entries), clips)
				}
			}
			if seen != clips {
				t.Errorf("%d shards have %d clips of %d", n, seen, clips)
			}
		}
	}
}

// A folder stays whole also where a clip in it is named by itself before it.
func TestFolderOfANamedClipStaysWhole(t *testing.T) {
	found := card.Listing{Entries: []card.Entry{
		{Path: "day/b.mov", Root: 0, Below: "day/b.mov"},
		{Path: "day/a.mov", Root: 1, Below: "a.mov"}, {Path: "day/c.mov", Root: 1, Below: "c.mov"},
	}}
	for k := 1; k <= 5; k++ {
		own, _ := Shard{k, 5}.Of(found, true)
		if n := len(own.Entries); n != 0 && n != 3 {
			t.Errorf("shard %d of 5 has %d of 3 clips", k, n)
		}
	}
}

func TestParseShard(t *testing.T) {
	for text, want := range map[string]bool{"1/1": true, "2/8": true, "8/8": true, "100000/100000": true,
		"0/8": false, "9/8": false, "1/100001": false, "": false, "1": false, "/": false, "1/": false, "1/2/3": false,
		"+1/2": false, "01/2": false, " 1/2": false, "-1/-1": false, "1/2 ": false, "99999999999999999999/1": false} {
		if s, ok := ParseShard(text); ok != want || ok && s.String() != text {
			t.Errorf("%q: %v, %v", text, s, ok)
		}
	}
}
