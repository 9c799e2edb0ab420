package metadata

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"stopledger/decode/metadata/container"
)

// A noteRule finds one tag in a camera's note, a directory of TIFF 6.0 entries in little-endian
// order that follows a signature. Tags and values: ExifTool, FujiFilm.pm and Panasonic.pm; the
// place of the directory behind its signature is from memory.
type noteRule struct {
	signature string
	skip      int // from the signature to the directory
	tag       uint16
	name      string
	curves    map[uint32]meaning
}

// userItems are the items of moov/udta in which a note with a curve is found.
var userItems = map[string]noteRule{
	"MVTG": {"FUJIFILM\x0C\x00\x00\x00", 12, 0x3803, "VideoRecordingMode", map[uint32]meaning{
		0x00: displayGamma("normal recording"), 0x10: curveOf("F-Log", GradeThirdParty),
		0x20: curveOf("HLG", GradeThirdParty), 0x30: curveOf("F-Log2", GradeThirdParty),
	}},
	"PANA": {"Panasonic\x00\x00\x00", 12, 0x0089, "PhotoStyle", map[uint32]meaning{
		8: displayGamma("Cinelike D"), 9: displayGamma("Cinelike V"), 12: displayGamma("Like709"),
		17: curveOf("V-Log", GradeThirdParty), 18: displayGamma("Cinelike D2"),
	}},
}

// fromUserItem claims what a camera's note says. Values outside the rule are picture styles, of
// which there are many, or unknown: they claim nothing.
func (n *notes) fromUserItem(i container.Note) {
	rule, ok := userItems[i.Kind]
	if !ok {
		return
	}
	v, ok := rule.find(i.Data)
	if !ok {
		return
	}
	where := fmt.Sprintf("%s item, %s", i.Kind, rule.name)
	if m, ok := rule.curves[v]; ok {
		n.claim(m, OriginMakerNote, where, fmt.Sprint(v))
	} else {
		n.unknownf("%s: %d", where, v)
	}
}

// find looks the rule's tag up in the directory behind the signature: a count u16, then entries
// of tag u16, type u16, count u32, value u32. Only one short (type 3) or long (type 4) is a value.
func (r noteRule) find(data []byte) (uint32, bool) {
	at := bytes.Index(data, []byte(r.signature))
	if at < 0 || len(data)-at < r.skip+2 {
		return 0, false
	}
	p := data[at+r.skip:]
	const entry = 12
	count := int(binary.LittleEndian.Uint16(p))
	for p = p[2:]; count > 0 && len(p) >= entry; count, p = count-1, p[entry:] {
		if binary.LittleEndian.Uint16(p) != r.tag || binary.LittleEndian.Uint32(p[4:]) != 1 {
			continue
		}
		switch binary.LittleEndian.Uint16(p[2:]) {
		case 3:
			return uint32(binary.LittleEndian.Uint16(p[8:])), true
		case 4:
			return binary.LittleEndian.Uint32(p[8:]), true
		}
	}
	return 0, false
}
