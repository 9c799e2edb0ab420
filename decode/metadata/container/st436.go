package container

import "encoding/binary"

// The identifiers of ancillary packets that carry acquisition metadata (RDD 18).
const (
	acquisitionDID  = 0x43
	acquisitionSDID = 0x05
)

// ancillarySets joins the pieces of per-frame sets out of a frame's ancillary data (SMPTE ST 436,
// clause 7): u16 number of packets; for each u16 line, u8 wrapping, u8 coding, u16 samples, then an
// array of u32 count, u32 size and its bytes. A packet is DID, SDID, number of bytes, number of the
// piece, and the piece (telemetry-parser, src/sony).
func ancillarySets(p []byte) []byte {
	var joined []byte
	if len(p) < 2 {
		return nil
	}
	const head = 14
	count := binary.BigEndian.Uint16(p)
	for p = p[2:]; count > 0 && len(p) >= head; count-- {
		size := uint64(binary.BigEndian.Uint32(p[6:])) * uint64(binary.BigEndian.Uint32(p[10:]))
		p = p[head:]
		size = min(size, uint64(len(p)))
		packet := p[:size]
		p = p[size:]
		if len(packet) < 4 || packet[0] != acquisitionDID || packet[1] != acquisitionSDID {
			continue
		}
		end := min(3+int(packet[2]), len(packet)) // the number of the piece is counted
		joined = append(joined, packet[4:max(4, end)]...)
	}
	return joined
}
