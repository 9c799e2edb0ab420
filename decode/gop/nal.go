package gop

// A Stream tells which packets of a stream hold pictures that no other picture refers to, by the headers
// of their NAL units. The zero Stream tells of none.
type Stream struct {
	hevc   bool
	length int // bytes before each unit that tell its size; 0 for a stream of which nothing is told
	top    int // the highest temporal layer of HEVC
}

// StreamOf returns the Stream of a codec, by FFmpeg's name, with its decoder configuration record, as
// MP4 and Matroska hold it (ISO/IEC 14496-15, 5.3.3.1 for avcC and 8.3.3.1 for hvcC; from memory).
func StreamOf(codec string, record []byte) Stream {
	switch {
	case codec == "h264" && len(record) > 6 && record[0] == 1:
		return Stream{length: int(record[4]&3) + 1}
	case codec == "hevc" && len(record) > 22 && record[0] == 1:
		if layers := int(record[21] >> 3 & 7); layers > 0 { // 0: not known
			return Stream{hevc: true, length: int(record[21]&3) + 1, top: layers - 1}
		}
	}
	return Stream{}
}

// Spare tells whether all that a packet holds are pictures, or parts of them, that no other picture refers
// to: nal_ref_idc 0 (H.264, 7.4.1), or a sub-layer non-reference picture of the highest temporal layer
// (H.265, 7.4.2.2; the layers below may not refer to it either). What makes no sense is not spare.
func (s Stream) Spare(packet []byte) bool {
	if s.length == 0 {
		return false
	}
	pictures := 0
	for len(packet) > 0 {
		size := 0
		for i := range s.length {
			if i == len(packet) {
				return false
			}
			size = size<<8 | int(packet[i])
		}
		packet = packet[s.length:]
		if size < 2 || size > len(packet) {
			return false
		}
		picture, spare := s.unit(packet[0], packet[1])
		if !spare {
			return false
		}
		if picture {
			pictures++
		}
		packet = packet[size:]
	}
	return pictures > 0
}

// unit tells of a NAL unit, by its first bytes, whether it is of a picture, and whether nothing needs it.
func (s Stream) unit(a, b byte) (picture, spare bool) {
	if s.hevc {
		const lastPicture, firstParameters, lastParameters = 31, 32, 34
		kind, layer := int(a>>1&0x3f), int(b&7)-1
		if kind <= lastPicture {
			const lastSubLayer = 14 // of the types up to it, even ones are not referred to
			return true, kind <= lastSubLayer && kind%2 == 0 && layer == s.top
		}
		return false, kind < firstParameters || kind > lastParameters
	}
	const firstSlice, lastSlice, spsUnit, ppsUnit = 1, 5, 7, 8
	kind, referred := int(a&0x1f), a>>5&3 != 0
	return kind >= firstSlice && kind <= lastSlice, !referred && kind != spsUnit && kind != ppsUnit
}
