package watch

import (
	"fmt"
	"hash/fnv"
	"math"
	"os"
	"time"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
)

// A state tells files as they are from the same files with more or other bytes in them.
type state uint64

// A sighting is a clip as it was seen.
type sighting struct {
	state state
	since time.Time // it is so
}

// sightings are all that was seen of a folder, by path. What is skipped stands under "".
type sightings struct {
	settle time.Duration
	now    map[string]sighting
	told   map[string]state // what was visited, as it was then
}

const (
	skips         = ""
	growing state = 0 // again, after it was visited: news once it is at rest, or gone
)

func newSightings(settle time.Duration) *sightings {
	return &sightings{settle: settle, told: map[string]state{}}
}

// A looked is what one look at a folder came to.
type looked struct {
	rest card.Listing  // what is at rest
	news bool          // it is not as it was when it was visited
	left time.Duration // until something else may have come to rest; very long where nothing is awaited
}

// look takes what lies in the folder now. looking is told of each clip before its files are looked at.
func (s *sightings) look(found card.Listing, now time.Time, looking func(path string)) looked {
	rest, news, left := card.Listing{}, false, time.Duration(math.MaxInt64)
	before := s.now
	s.now = map[string]sighting{}
	settled := func(path string, is state) bool {
		seen := sighting{is, now}
		if was, ok := before[path]; ok && was.state == is {
			seen.since = was.since
		}
		s.now[path] = seen
		if wait := s.settle - now.Sub(seen.since); wait > 0 {
			left = min(left, wait)
			return false
		}
		return true
	}
	rest.Skipped = found.Skipped
	for _, e := range found.Entries {
		looking(e.Path)
		if !settled(e.Path, stateOf(&e)) {
			continue
		}
		if e.Err == nil && e.Growing() { // somebody has it open
			left = min(left, s.settle)
			continue
		}
		rest.Entries = append(rest.Entries, e)
		news = news || !s.isTold(e.Path)
	}
	if settled(skips, skippedState(found)) && !s.isTold(skips) {
		news = true
	}
	for path := range s.told {
		_, there := s.now[path]
		news = news || !there
	}
	return looked{rest, news, left}
}

// isTold tells whether a path was visited as it is now.
func (s *sightings) isTold(path string) bool {
	told, ok := s.told[path]
	return ok && told == s.now[path].state
}

// visited takes that a listing was visited.
func (s *sightings) visited(rest card.Listing) {
	before := s.told
	s.told = map[string]state{skips: s.now[skips].state}
	for _, e := range rest.Entries {
		s.told[e.Path] = s.now[e.Path].state
	}
	for path := range s.now {
		_, was := before[path]
		if _, is := s.told[path]; was && !is {
			s.told[path] = growing
		}
	}
}

// forget takes that all is gone, and reports whether there was something.
func (s *sightings) forget() bool {
	any := len(s.told) > 0
	clear(s.told)
	return any
}

// stateOf returns the state of an entry's files and what lies beside them.
func stateOf(e *card.Entry) state {
	sum := fnv.New64a()
	fmt.Fprintf(sum, "%q %v\n", e.Name, e.Err)
	for _, path := range audit.FilesOf(audit.Job{Path: e.Path, Files: e.Files()}) {
		var size, changed int64
		if info, err := os.Stat(path); err == nil {
			size, changed = info.Size(), info.ModTime().UnixNano()
		}
		fmt.Fprintf(sum, "%q %d %d\n", path, size, changed)
	}
	return state(sum.Sum64())
}

func skippedState(found card.Listing) state {
	sum := fnv.New64a()
	for _, s := range found.Skipped {
		fmt.Fprintf(sum, "%q %q\n", s.Path, s.Reason)
	}
	return state(sum.Sum64())
}
