package container

import "bytes"

// Keys of SMPTE ST 377-1 and ST 379 as far as they are looked for.
const (
	partitionPrefix  = "\x06\x0E\x2B\x34\x02\x05\x01\x01\x0D\x01\x02\x01\x01"         // partition packs
	descriptorPrefix = "\x06\x0E\x2B\x34\x02\x53\x01\x01\x0D\x01\x01\x01\x01\x01"     // header metadata sets
	fillPrefix       = "\x06\x0E\x2B\x34\x01\x01\x01\x01\x03\x01\x02\x10"             // fill items
	essencePrefix    = "\x0D\x01\x03\x01"                                             // bytes 9..12 of essence
	ancillaryKey     = "\x06\x0E\x2B\x34\x01\x02\x01\x01\x0D\x01\x03\x01\x17\x01\x02" // ST 436, without the element number
)

// hasPrefix compares a key with a prefix, without regard to the register's version in byte 8.
func (l Label) hasPrefix(prefix string) bool {
	for i := range len(prefix) {
		if i != 7 && l[i] != prefix[i] {
			return false
		}
	}
	return true
}

// isSystem tells system items of a content package (item types 04 and 14).
func (l Label) isSystem() bool {
	return string(l[8:12]) == essencePrefix && (l[12] == 0x04 || l[12] == 0x14)
}

// maxSetValue bounds the bytes of one value that may hold settings.
const maxSetValue = 1 << 20

// A triplet is a key and the place of its value in the file.
type triplet struct {
	key        Label
	start, end int64
}

// triplet reads the key and length at an offset; a value that runs past the end is cut.
func (s *source) triplet(at int64) (triplet, bool) {
	p, err := s.readUpTo(at, 16+9, s.size)
	if err != nil || len(p) < 17 || string(p[:4]) != labelPrefix {
		return triplet{}, false
	}
	length, used, err := berLength(p[16:])
	if err != nil {
		return triplet{}, false
	}
	start := at + 16 + int64(used)
	return triplet{Label(p[:16]), start, start + min(length, s.size-start)}, true
}

// value reads a triplet's value, which must not be larger than settings are.
func (s *source) value(t triplet) ([]byte, bool) {
	if t.end-t.start > maxSetValue {
		return nil, false
	}
	p, err := s.read(t.start, t.end-t.start)
	return p, err == nil
}

// frameAt reads the settings of one frame that begin with triplet t at offset at: sets one after
// another, sets inside a system item, or ancillary data. key is what to look for to find more.
func (s *source) frameAt(t triplet, at int64) (f Frame, key Label, end int64, ok bool) {
	switch {
	case isFrameSet(t.key):
		p, end := s.setsFrom(t, at)
		return Frame{Sets: p, Where: "MXF sets"}, t.key, end, len(p) > 0
	case t.key.isSystem():
		p, _ := s.value(t)
		i, first := firstSet(p)
		if i < 0 {
			return Frame{}, t.key, t.end, false
		}
		return Frame{Sets: p[i:], Where: "MXF system item"}, first, t.end, true
	case t.key.hasPrefix(ancillaryKey):
		p, _ := s.value(t)
		if p = ancillarySets(p); len(p) == 0 {
			return Frame{}, t.key, t.end, false
		}
		return Frame{Sets: p, Where: "MXF ancillary data"}, t.key, t.end, true
	}
	return Frame{}, t.key, t.end, false
}

// setsFrom returns the bytes of the sets that follow one another from triplet t at offset at, with
// any fill between them: the sets of one frame have different keys.
func (s *source) setsFrom(t triplet, at int64) (p []byte, end int64) {
	from, seen := at, map[Label]bool{}
	for end = at; t.end-from <= maxSetValue; {
		if !t.key.hasPrefix(fillPrefix) && (!isFrameSet(t.key) || seen[t.key]) {
			break
		}
		seen[t.key] = true
		end = t.end
		next, ok := s.triplet(end)
		if !ok {
			break
		}
		t = next
	}
	p, _ = s.read(from, end-from)
	return p, end
}

// firstSet finds the first set inside the value of a system item.
func firstSet(p []byte) (int, Label) {
	for i := 0; len(p)-i >= 17; i++ {
		next := bytes.Index(p[i:], []byte(labelPrefix))
		if next < 0 || len(p)-i-next < 17 {
			break
		}
		i += next
		if k := Label(p[i : i+16]); isFrameSet(k) {
			return i, k
		}
	}
	return -1, Label{}
}
