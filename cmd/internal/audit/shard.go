package audit

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"path"
	"path/filepath"
	"strconv"
	"strings"

	"stopledger/cmd/internal/card"
)

// A Shard is one of the parts that a run over many clips is divided into, on one machine or many.
type Shard struct {
	K, N int // part K of N, from 1
}

// MostShards bounds the parts of a run: well beyond any use, so that only slips are caught.
const MostShards = 100000

// ParseShard reads K/N, as in 2/8.
func ParseShard(text string) (s Shard, ok bool) {
	k, n, cut := strings.Cut(text, "/")
	s.K, _ = strconv.Atoi(k)
	s.N, _ = strconv.Atoi(n)
	return s, cut && s.K >= 1 && s.K <= s.N && s.N <= MostShards && s.String() == text
}

// String returns K/N.
func (s Shard) String() string { return fmt.Sprintf("%d/%d", s.K, s.N) }

// A Share is a shard and the whole run that it is one part of.
type Share struct {
	Shard
	Run []Listed // every entry of the run, in order
}

// A Listed is one entry of a whole run.
type Listed struct {
	Root  int    // which of the paths asked for it lies under
	Below string // its path from that one on
	Name  string // to show
	Path  string // to open
}

// Of divides a listing: it returns what is this shard's, in order. It is a pure function of the paths
// below those asked for, so that every entry is one shard's, whatever machine asks and whatever else is
// there. Folders stay whole where grey is carried over within them. What is skipped is told by every
// shard.
func (s Shard) Of(found card.Listing, holdGrey bool) (card.Listing, *Share) {
	own, share := card.Listing{Entries: []card.Entry{}, Skipped: found.Skipped}, &Share{Shard: s}
	units := unitsOf(found.Entries, holdGrey)
	for i, e := range found.Entries {
		share.Run = append(share.Run, Listed{Root: e.Root, Below: e.Below, Name: e.Name, Path: e.Path})
		if s.has(units[i]) {
			own.Entries = append(own.Entries, e)
		}
	}
	return own, share
}

// has tells whether what a name stands for is this shard's: by the name's SHA-256, so that any number
// of names is spread evenly.
func (s Shard) has(unit string) bool {
	sum := sha256.Sum256([]byte(unit))
	return binary.BigEndian.Uint64(sum[:8])%uint64(s.N) == uint64(s.K-1)
}

// unitsOf names what each entry is kept together with: itself, or, where folders stay whole, its
// folder by the first entry in it.
func unitsOf(entries []card.Entry, wholeFolders bool) []string {
	units := make([]string, len(entries))
	of := map[string]string{}
	for i, e := range entries {
		units[i] = e.Below
		if !wholeFolders {
			continue
		}
		folder := filepath.Dir(e.Path)
		if _, known := of[folder]; !known {
			of[folder] = path.Dir(e.Below)
		}
		units[i] = of[folder]
	}
	return units
}
