package metadata

import (
	"encoding/binary"
	"testing"

	"stopledger/decode/metadata/build"
)

// note is a directory of TIFF entries (TIFF 6.0, section 2) behind a signature, inside other bytes.
func note(signature string, entries ...[]byte) []byte {
	count := binary.LittleEndian.AppendUint16(nil, uint16(len(entries)))
	return build.Join([]byte("II*\x00 other things "), []byte(signature), count, build.Join(entries...), build.U32(0))
}

func entry(tag, kind uint16, count, value uint32) []byte {
	p := binary.LittleEndian.AppendUint16(nil, tag)
	p = binary.LittleEndian.AppendUint16(p, kind)
	p = binary.LittleEndian.AppendUint32(p, count)
	return binary.LittleEndian.AppendUint32(p, value)
}

const (
	signature1 = "FUJIFILM\x0C\x00\x00\x00"
	signature2 = "Panasonic\x00\x00\x00"
)

// Values: ExifTool, FujiFilm.pm (VideoRecordingMode) and Panasonic.pm (PhotoStyle).
func TestMakerNotes(t *testing.T) {
	other := entry(0x1000, 2, 8, 99)
	for _, c := range []struct {
		kind  string
		note  []byte
		curve string
		said  Kind
	}{
		{"MVTG", note(signature1, other, entry(0x3803, 4, 1, 0x10)), "F-Log", KindCurve},
		{"MVTG", note(signature1, other, entry(0x3803, 4, 1, 0x30)), "F-Log2", KindCurve},
		{"MVTG", note(signature1, entry(0x3803, 4, 1, 0x20)), "HLG", KindCurve},
		{"MVTG", note(signature1, entry(0x3803, 4, 1, 0)), "", KindDisplay},
		{"MVTG", note(signature1, entry(0x3803, 4, 1, 0x40)), "", ""},
		{"MVTG", note(signature1, entry(0x3803, 2, 1, 0x10)), "", ""},
		{"MVTG", note(signature1, entry(0x3803, 4, 2, 0x10)), "", ""},
		{"MVTG", note(signature2, entry(0x3803, 4, 1, 0x10)), "", ""},
		{"PANA", note(signature2, other, entry(0x89, 3, 1, 17)), "V-Log", KindCurve},
		{"PANA", note(signature2, entry(0x89, 3, 1, 18)), "", KindDisplay},
		{"PANA", note(signature2, entry(0x89, 3, 1, 3)), "", ""},
		{"PANA", note(signature2, other)[:40], "", ""},
		{"PANA", nil, "", ""},
		{"NCDT", note(signature2, entry(0x89, 3, 1, 17)), "", ""},
	} {
		r := readBytes(build.Clip(build.MP4("udta", build.MP4("date"), build.MP4(c.kind, c.note))), Hints{})
		if c.said == "" {
			if len(r.Claims) > 0 {
				t.Errorf("%s % X: %+v", c.kind, c.note, r.Claims)
			}
			continue
		}
		if len(r.Claims) != 1 || r.Claims[0].Curve != c.curve || r.Claims[0].Kind != c.said ||
			r.Claims[0].Origin != OriginMakerNote {
			t.Errorf("%s, want %q: %+v", c.kind, c.curve, r.Claims)
		}
	}
}
