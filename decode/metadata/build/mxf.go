package build

// MXF, written from SMPTE ST 377-1 and ST 436: keys and labels.
const (
	HeaderPackKey = "060E2B34 02050101 0D010201 01020400"
	BodyPackKey   = "060E2B34 02050101 0D010201 01030400"
	FillKey       = "060E2B34 01010102 03010210 01000000"
	CDCIKey       = "060E2B34 02530101 0D010101 01012800"
	SystemKey     = "060E2B34 02050101 0D010301 04010100"
	PictureKey    = "060E2B34 01020101 0D010301 15010500"
	AncillaryKey  = "060E2B34 01020101 0D010301 17010201"
	CameraLogS3   = "060E2B34 0401010D 04010101 010E0000"
	CameraLogV    = "060E2B34 0401010D 04010101 010F0000"
	PublicHLG     = "060E2B34 0401010D 04010101 010B0000"
	PublicBT709   = "060E2B34 04010101 04010101 01020000"
)

// Partition returns a partition pack followed by fill and header metadata.
func Partition(key string, header []byte) []byte {
	pack := Join(U16(1), U16(3), U32(1), U64(0), U64(0), U64(0), U64(len(header)), U64(0), make([]byte, 40))
	return Join(KLV(key, pack), KLV(FillKey, make([]byte, 50)), header)
}

// CDCI returns a picture descriptor of ten bits.
func CDCI(gamma string, black, white, codes int) []byte {
	return KLV(CDCIKey,
		Item(0x3210, Unhex(gamma)), Item(0x3301, U32(10)), Item(0x3304, U32(black)),
		Item(0x3305, U32(white)), Item(0x3306, U32(codes)))
}

// Ancillary returns an ST 436 value of one packet for each piece, after a packet of another kind.
func Ancillary(pieces ...[]byte) []byte {
	v := Join(U16(1+len(pieces)), ancillaryPacket([]byte{0x61, 0x01, 2, 0xAA, 0xBB}))
	for i, p := range pieces {
		v = append(v, ancillaryPacket(Join([]byte{0x43, 0x05, byte(1 + len(p)), byte(i + 1)}, p))...)
	}
	return v
}

func ancillaryPacket(data []byte) []byte {
	padded := Join(data, make([]byte, (4-len(data)%4)%4))
	return Join(U16(9), []byte{1, 4}, U16(len(data)), U32(len(padded)), U32(1), padded)
}

// Pieces cuts data into parts that fit an ancillary packet.
func Pieces(data []byte) [][]byte {
	const most = 250
	var list [][]byte
	for len(data) > most {
		list, data = append(list, data[:most]), data[most:]
	}
	return append(list, data)
}

// ContentPackages are frames of a system item, what carries the settings, and a picture.
func ContentPackages(frames [][]byte, carry func([]byte) []byte, pictureBytes int) []byte {
	var body []byte
	for _, f := range frames {
		body = append(body, Join(carry(f), KLV(PictureKey, make([]byte, pictureBytes)), KLV(FillKey, make([]byte, 20)))...)
	}
	return body
}

// Carriers are the ways in which sets are carried: SMPTE metadata registers, Groups.xml (system item);
// MediaInfoLib (top level); telemetry-parser (ancillary data).
var Carriers = map[string]func([]byte) []byte{
	"MXF sets": func(sets []byte) []byte { return Join(KLV(SystemKey, make([]byte, 57)), sets) },
	"MXF system item": func(sets []byte) []byte {
		return KLV(SystemKey, make([]byte, 57), Unhex("060E2B34 01020304 05060708 090A0B0C"), sets)
	},
	"MXF ancillary data": func(sets []byte) []byte {
		return Join(KLV(SystemKey, make([]byte, 57)), KLV(AncillaryKey, Ancillary(Pieces(sets)...)))
	},
}
