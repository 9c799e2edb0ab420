package metadata

import (
	"bytes"
	"encoding/binary"
)

// Keys of SMPTE ST 377-1 and ST 379 as far as they are looked for.
const (
	partitionPrefix  = "\x06\x0E\x2B\x34\x02\x05\x01\x01\x0D\x01\x02\x01\x01"         // partition packs
	descriptorPrefix = "\x06\x0E\x2B\x34\x02\x53\x01\x01\x0D\x01\x01\x01\x01\x01"     // header metadata sets
	fillPrefix       = "\x06\x0E\x2B\x34\x01\x01\x01\x01\x03\x01\x02\x10"             // fill items
	essencePrefix    = "\x0D\x01\x03\x01"                                             // bytes 9..12 of essence
	ancillaryKey     = "\x06\x0E\x2B\x34\x01\x02\x01\x01\x0D\x01\x03\x01\x17\x01\x02" // ST 436, without the element number

	runIn = 64 << 10 // bytes that may come before the first partition
)

// hasPrefix compares a key with a prefix, without regard to the register's version in byte 8.
func (l universalLabel) hasPrefix(prefix string) bool {
	for i := range len(prefix) {
		if i != 7 && l[i] != prefix[i] {
			return false
		}
	}
	return true
}

// isSystem tells system items of a content package (item types 04 and 14).
func (l universalLabel) isSystem() bool {
	return string(l[8:12]) == essencePrefix && (l[12] == 0x04 || l[12] == 0x14)
}

const (
	maxHeadTriplets = 4096    // enough for header metadata and the first frames
	headFrames      = 2       // frames read in a row at the start: they show how settings are carried
	maxSetValue     = 1 << 20 // bytes of one value that may hold settings
)

// A triplet is a key and the place of its value in the file.
type triplet struct {
	key        universalLabel
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
	return triplet{universalLabel(p[:16]), start, start + min(length, s.size-start)}, true
}

// value reads a triplet's value, which must not be larger than settings are.
func (s *source) value(t triplet) ([]byte, bool) {
	if t.end-t.start > maxSetValue {
		return nil, false
	}
	p, err := s.read(t.start, t.end-t.start)
	return p, err == nil
}

// isMXF reports whether a partition pack comes first, after a run-in if need be.
func isMXF(s *source) bool {
	_, ok := firstPartition(s)
	return ok
}

func firstPartition(s *source) (int64, bool) {
	head, err := s.readUpTo(0, runIn+int64(len(partitionPrefix)), s.size)
	i := bytes.Index(head, []byte(partitionPrefix))
	return int64(i), err == nil && i >= 0
}

// gatherMXF walks the start of the file for descriptors and the first frames' sets, then looks at
// more frames along the file if there were sets.
func (in *found) gatherMXF(s *source) {
	at, ok := firstPartition(s)
	if !ok {
		return
	}
	carrier, after := in.walkHead(s, at)
	if carrier == nil {
		return
	}
	in.frames = append(in.frames, s.laterFrames(*carrier, after)...)
}

// walkHead reads triplets until it has seen frames. It returns the key that carries settings, nil
// if none was seen, and where the first unread byte is.
func (in *found) walkHead(s *source, at int64) (carrier *universalLabel, after int64) {
	headerEnd := int64(0)
	for range maxHeadTriplets {
		t, ok := s.triplet(at)
		if !ok {
			break
		}
		switch inHeader := at < headerEnd; {
		case t.key.hasPrefix(partitionPrefix) && t.key[13] >= 2 && t.key[13] <= 4:
			headerEnd = max(headerEnd, s.headerEnd(t))
		case t.key.hasPrefix(descriptorPrefix) && isDescriptor(t.key[14]):
			in.addDescriptor(s, t)
		case inHeader && isFrameSet(t.key):
			in.problemf("settings in the header's own numbering are not read")
		case !inHeader:
			if f, key, end, ok := s.frameAt(t, at); ok {
				in.frames = append(in.frames, f)
				if carrier == nil {
					carrier = &key
				}
				if t.end = end; len(in.frames) == headFrames {
					return carrier, t.end
				}
			}
		}
		at = t.end
	}
	return carrier, at
}

// headerEnd returns where the header metadata of a partition ends: its pack counts the bytes
// (ST 377-1, 7.1) from behind the fill that may follow the pack.
func (s *source) headerEnd(pack triplet) int64 {
	p, ok := s.value(pack)
	if !ok || len(p) < 40 {
		return 0
	}
	from := pack.end
	if fill, ok := s.triplet(from); ok && fill.key.hasPrefix(fillPrefix) {
		from = fill.end
	}
	bytes := binary.BigEndian.Uint64(p[32:])
	return from + int64(min(bytes, uint64(s.size-from)))
}

// frameAt reads the settings of one frame that begin with triplet t at offset at: sets one after
// another, sets inside a system item, or ancillary data. key is what to look for to find more.
func (s *source) frameAt(t triplet, at int64) (f frame, key universalLabel, end int64, ok bool) {
	switch {
	case isFrameSet(t.key):
		p, end := s.setsFrom(t, at)
		return frameFromSets(p, "MXF sets"), t.key, end, len(p) > 0
	case t.key.isSystem():
		p, _ := s.value(t)
		i, first := firstSet(p)
		if i < 0 {
			return frame{}, t.key, t.end, false
		}
		return frameFromSets(p[i:], "MXF system item"), first, t.end, true
	case t.key.hasPrefix(ancillaryKey):
		p, _ := s.value(t)
		if p = ancillarySets(p); len(p) == 0 {
			return frame{}, t.key, t.end, false
		}
		return frameFromSets(p, "MXF ancillary data"), t.key, t.end, true
	}
	return frame{}, t.key, t.end, false
}

// setsFrom returns the bytes of the sets that follow one another from triplet t at offset at, with
// any fill between them: the sets of one frame have different keys.
func (s *source) setsFrom(t triplet, at int64) (p []byte, end int64) {
	from, seen := at, map[universalLabel]bool{}
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
func firstSet(p []byte) (int, universalLabel) {
	for i := 0; len(p)-i >= 17; i++ {
		next := bytes.Index(p[i:], []byte(labelPrefix))
		if next < 0 || len(p)-i-next < 17 {
			break
		}
		i += next
		if k := universalLabel(p[i : i+16]); isFrameSet(k) {
			return i, k
		}
	}
	return -1, universalLabel{}
}
