package decode

import (
	"encoding/binary"
	"os"
)

// end returns the byte at which the file must end at the earliest if it is whole, 0 where the
// container does not say.
func (s *containerSource) end(path string) int64 {
	if s.kind == "matroska" {
		return segmentEnd(path)
	}
	var end int64
	for _, e := range s.index {
		end = max(end, e.end)
	}
	return end
}

// segmentEnd returns where the first segment of a Matroska file ends, 0 if it does not say
// (RFC 8794, EBML: section 4, variable-size integers; section 11.2.1, the EBML header's ID;
// RFC 9559, Matroska: section 5.1, the segment's ID; from memory).
func segmentEnd(path string) int64 {
	f, err := os.Open(path)
	if err != nil {
		return 0
	}
	defer f.Close()
	const headerID, segmentID = 0x1a45dfa3, 0x18538067
	var at int64
	for range 16 { // elements before the segment are few
		var head [12]byte
		n, _ := f.ReadAt(head[:], at)
		if n < 5 {
			return 0
		}
		id := binary.BigEndian.Uint32(head[:4])
		size, width := ebmlSize(head[4:n])
		if width == 0 || (at == 0 && id != headerID) {
			return 0
		}
		at += int64(4+width) + size
		if id == segmentID {
			return at
		}
	}
	return 0
}

// ebmlSize reads a size and its own width in bytes; width 0 if it is unknown or makes no sense.
func ebmlSize(b []byte) (size int64, width int) {
	for width = 1; width <= 8 && b[0]>>(8-width) == 0; width++ {
	}
	if width > 8 || width > len(b) {
		return 0, 0
	}
	for _, c := range b[:width] {
		size = size<<8 | int64(c)
	}
	all := int64(1)<<(7*width) - 1 // the bits after the width's mark
	if size &= all; size == all || size > 1<<50 {
		return 0, 0
	}
	return size, width
}
