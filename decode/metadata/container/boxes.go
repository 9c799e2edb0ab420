package container

import (
	"encoding/binary"
	"slices"
)

// A box is one of ISO/IEC 14496-12 (clause 4.2) or an atom of QuickTime: the body's place in the file.
type box struct {
	kind       string
	start, end int64
}

func (b box) size() int64 { return b.end - b.start }

// maxSiblings bounds the boxes looked at on one level; moov of a long clip has a few dozen.
const maxSiblings = 8192

// openingKinds are box kinds that files of this family start with.
var openingKinds = []string{"ftyp", "moov", "mdat", "wide", "free", "skip", "pnot", "styp", "uuid", "meta"}

// isBoxes reports whether the source starts as MP4 and QuickTime files do.
func isBoxes(s *source) bool {
	head, err := s.read(0, 8)
	return err == nil && slices.Contains(openingKinds, string(head[4:]))
}

// boxes lists the boxes between two offsets. A box that claims more than its parent holds is cut
// to it; one that claims less than its own header ends the list.
func (s *source) boxes(from, to int64) []box {
	var list []box
	for at := from; to-at >= 8 && len(list) < maxSiblings; {
		head, err := s.readUpTo(at, 16, to)
		if err != nil || len(head) < 8 {
			break
		}
		size, body := int64(binary.BigEndian.Uint32(head)), at+8
		switch {
		case size == 0: // to the end of what holds it
			size = to - at
		case size == 1 && len(head) == 16:
			size, body = int64(binary.BigEndian.Uint64(head[8:])), at+16
		}
		if size < body-at {
			break
		}
		size = min(size, to-at)
		list = append(list, box{string(head[4:8]), body, at + size})
		at += size
	}
	return list
}

func (s *source) children(b box) []box { return s.boxes(b.start, b.end) }

// first returns the first box of a kind.
func first(list []box, kind string) (box, bool) {
	i := slices.IndexFunc(list, func(b box) bool { return b.kind == kind })
	if i < 0 {
		return box{}, false
	}
	return list[i], true
}

// descend follows a path of kinds below b, taking the first of each.
func (s *source) descend(b box, path ...string) (box, bool) {
	for _, kind := range path {
		next, ok := first(s.children(b), kind)
		if !ok {
			return box{}, false
		}
		b = next
	}
	return b, true
}

// metaChildren lists the boxes in a meta box, which starts with a version in MP4
// (ISO/IEC 14496-12, 8.11.1) and without one in QuickTime, and returns its handler.
func (s *source) metaChildren(b box) (list []box, handler string) {
	head, err := s.readUpTo(b.start, 12, b.end)
	if err != nil || len(head) < 12 {
		return nil, ""
	}
	from := b.start
	if string(head[4:8]) != "hdlr" {
		from += 4
	}
	list = s.boxes(from, b.end)
	if h, ok := first(list, "hdlr"); ok {
		handler = s.handler(h)
	}
	return list, handler
}

// handler returns the handler type of an hdlr box (8.4.3).
func (s *source) handler(hdlr box) string {
	p, err := s.readUpTo(hdlr.start, 12, hdlr.end)
	if err != nil || len(p) < 12 {
		return ""
	}
	return string(p[8:12])
}
