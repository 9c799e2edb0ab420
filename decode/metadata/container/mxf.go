package container

import (
	"bytes"
	"encoding/binary"
)

const (
	runIn           = 64 << 10 // bytes that may come before the first partition
	maxHeadTriplets = 4096     // enough for header metadata and the first frames
	headFrames      = 2        // frames read in a row at the start: they show how settings are carried
)

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
func (in *Found) gatherMXF(s *source) {
	at, ok := firstPartition(s)
	if !ok {
		return
	}
	carrier, after := in.walkHead(s, at)
	if carrier == nil {
		return
	}
	in.Frames = append(in.Frames, s.laterFrames(*carrier, after)...)
}

// walkHead reads triplets until it has seen frames. It returns the key that carries settings, nil
// if none was seen, and where the first unread byte is.
func (in *Found) walkHead(s *source, at int64) (carrier *Label, after int64) {
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
				in.Frames = append(in.Frames, f)
				if carrier == nil {
					carrier = &key
				}
				if t.end = end; len(in.Frames) == headFrames {
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

// isDescriptor tells picture descriptors by byte 15 of their key: generic picture, CDCI, RGBA, and
// MPEG, which is a CDCI descriptor with more.
func isDescriptor(n byte) bool { return n == 0x27 || n == 0x28 || n == 0x29 || n == 0x51 }

func (in *Found) addDescriptor(s *source, t triplet) {
	p, ok := s.value(t)
	if !ok {
		in.problemf("the MXF picture descriptor cannot be read")
		return
	}
	it := Items{}
	if err := it.Read(p); err != nil {
		in.problemf("MXF picture descriptor: %v", err)
	}
	if len(in.Descriptors) < maxTracks {
		in.Descriptors = append(in.Descriptors, it)
	}
}
