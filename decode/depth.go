package decode

import (
	"encoding/binary"
	"unsafe"
)

// withinDepth reports whether no sample has more bits than the format says. Damaged streams, and
// uncompressed ones, can hold such; they must not reach tables of 2^bits entries.
func withinDepth(planes [3]Plane, bits int) bool {
	if bits >= 16 {
		return true
	}
	var all uint64 // every bit that is set in one of four samples
	for _, p := range planes {
		for y := range p.Height {
			all |= union(p.Row(y))
		}
	}
	const ones = 0x0001_0001_0001_0001 // one bit in each sample
	return all&(ones*(0xffff<<bits&0xffff)) == 0
}

// union ors samples, four at a time.
func union(row []uint16) (all uint64) {
	b := unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(row))), 2*len(row))
	for ; len(b) >= 32; b = b[32:] {
		all |= binary.LittleEndian.Uint64(b) | binary.LittleEndian.Uint64(b[8:]) |
			binary.LittleEndian.Uint64(b[16:]) | binary.LittleEndian.Uint64(b[24:])
	}
	for ; len(b) >= 2; b = b[2:] {
		all |= uint64(binary.LittleEndian.Uint16(b))
	}
	return all
}
