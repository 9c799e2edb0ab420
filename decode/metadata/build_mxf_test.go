package metadata

// Builders of MXF, written from SMPTE ST 377-1 and ST 436.

const (
	headerPackKey = "060E2B34 02050101 0D010201 01020400"
	bodyPackKey   = "060E2B34 02050101 0D010201 01030400"
	fillKey       = "060E2B34 01010102 03010210 01000000"
	cdciKey       = "060E2B34 02530101 0D010101 01012800"
	systemKey     = "060E2B34 02050101 0D010301 04010100"
	pictureKey    = "060E2B34 01020101 0D010301 15010500"
	ancillaryVANC = "060E2B34 01020101 0D010301 17010201"
	cameraLogS3   = "060E2B34 0401010D 04010101 010E0000"
	cameraLogV    = "060E2B34 0401010D 04010101 010F0000"
	publicHLG     = "060E2B34 0401010D 04010101 010B0000"
	publicBT709   = "060E2B34 04010101 04010101 01020000"
)

// partition is a partition pack followed by fill and header metadata.
func partition(key string, header []byte) []byte {
	pack := join(u16(1), u16(3), u32(1), u64(0), u64(0), u64(0), u64(len(header)), u64(0), make([]byte, 40))
	return join(klv(key, pack), klv(fillKey, make([]byte, 50)), header)
}

// cdci is a picture descriptor of ten bits.
func cdci(gamma string, black, white, codes int) []byte {
	return klv(cdciKey,
		item(0x3210, unhex(gamma)), item(0x3301, u32(10)), item(0x3304, u32(black)),
		item(0x3305, u32(white)), item(0x3306, u32(codes)))
}

// ancillary is an ST 436 value of one packet for each piece, after a packet of another kind.
func ancillary(pieces ...[]byte) []byte {
	v := join(u16(1+len(pieces)), ancillaryPacket([]byte{0x61, 0x01, 2, 0xAA, 0xBB}))
	for i, p := range pieces {
		v = append(v, ancillaryPacket(join([]byte{0x43, 0x05, byte(1 + len(p)), byte(i + 1)}, p))...)
	}
	return v
}

func ancillaryPacket(data []byte) []byte {
	padded := join(data, make([]byte, (4-len(data)%4)%4))
	return join(u16(9), []byte{1, 4}, u16(len(data)), u32(len(padded)), u32(1), padded)
}

// pieces cuts data into parts that fit an ancillary packet.
func pieces(data []byte) [][]byte {
	const most = 250
	var list [][]byte
	for len(data) > most {
		list, data = append(list, data[:most]), data[most:]
	}
	return append(list, data)
}
