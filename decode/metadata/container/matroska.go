package container

import (
	"encoding/binary"
	"io"
)

// Linked are the identities by which a Matroska segment names itself, the one it goes on from and
// the one that goes on from it; nil where it does not (RFC 9559, sections 5.1.2.1 to 5.1.2.5 and 17.1,
// hard linking; from memory).
type Linked struct{ Self, Previous, Next []byte }

// Identities of elements (RFC 8794, section 11.2.1; RFC 9559, section 5.1).
const (
	ebmlHeader      = 0x1A45DFA3
	matroskaSegment = 0x18538067
	segmentInfo     = 0x1549A966
	cluster         = 0x1F43B675
	segmentUUID     = 0x73A4
	previousUUID    = 0x3CB923
	nextUUID        = 0x3EB923
)

// LinkedSegments looks into the size bytes of a clip for what links its first segment to others.
// Files of other kinds and damaged ones link to nothing.
func LinkedSegments(r io.ReaderAt, size int64) (l Linked) {
	s := newSource(r, size)
	header, ok := s.element(0)
	if !ok || header.id != ebmlHeader {
		return l
	}
	segment, ok := s.element(header.end)
	if !ok || segment.id != matroskaSegment {
		return l
	}
	const most = 64 // elements before the information, which stands near the start
	e := ebml{end: segment.data}
	for range most {
		if e, ok = s.element(e.end); !ok || e.id == cluster {
			return l
		}
		if e.id == segmentInfo {
			return s.linksIn(e)
		}
	}
	return l
}

func (s *source) linksIn(info ebml) (l Linked) {
	for at := info.data; at < info.end; {
		e, ok := s.element(at)
		if !ok || e.end > info.end {
			break
		}
		const length = 16 // bytes of every such identity
		if e.end-e.data == length {
			value, _ := s.read(e.data, length)
			switch e.id {
			case segmentUUID:
				l.Self = value
			case previousUUID:
				l.Previous = value
			case nextUUID:
				l.Next = value
			}
		}
		at = e.end
	}
	return l
}

// An ebml element has its bytes from data to end. One of unknown size ends with the file.
type ebml struct {
	id        uint32
	data, end int64
}

// element reads the head of the element at an offset (RFC 8794, sections 4 and 5).
func (s *source) element(at int64) (e ebml, ok bool) {
	head, err := s.readUpTo(at, 12, s.size)
	if err != nil || len(head) < 2 {
		return e, false
	}
	id, n, ok := variable(head, 4)
	if !ok {
		return e, false
	}
	length, m, ok := variable(head[n:], 8)
	if !ok {
		return e, false
	}
	e.id, e.data = uint32(id), at+int64(n+m)
	mark := uint64(1) << (7 * m)
	if length -= mark; length == mark-1 || length > uint64(s.size-e.data) {
		length = uint64(max(0, s.size-e.data))
	}
	e.end = e.data + int64(length)
	return e, true
}

// variable reads an integer of variable size, with the mark of its width, which is at most most
// bytes.
func variable(b []byte, most int) (value uint64, width int, ok bool) {
	for width = 1; width <= most && len(b) >= width && b[0]>>(8-width) == 0; width++ {
	}
	if width > most || len(b) < width {
		return 0, 0, false
	}
	var whole [8]byte
	copy(whole[8-width:], b[:width])
	return binary.BigEndian.Uint64(whole[:]), width, true
}
