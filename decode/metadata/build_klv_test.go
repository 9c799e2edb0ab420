package metadata

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"os"
	"regexp"
	"strings"
	"testing"
)

// Builders of KLV sets, written from SMPTE ST 336 and the metadata registers and sharing no code
// with the readers.

func u16(v int) []byte { return binary.BigEndian.AppendUint16(nil, uint16(v)) }
func u32(v int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(v)) }
func u64(v int) []byte { return binary.BigEndian.AppendUint64(nil, uint64(v)) }

func join(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// unhex reads hexadecimal digits with blanks between them.
func unhex(s string) []byte {
	p, err := hex.DecodeString(strings.Join(strings.Fields(s), ""))
	if err != nil {
		panic(err)
	}
	return p
}

// item is a tag, a length and a value.
func item(tag int, value []byte) []byte { return join(u16(tag), u16(len(value)), value) }

const (
	lensKey    = "060E2B34 02530101 0C020101 01010000"
	cameraKey  = "060E2B34 02530101 0C020101 02010000"
	userKey    = "060E2B34 02530101 0C020101 7F010000"
	key15Lens  = "060E2B34 0401010D 0E150004 01000000"
	key15      = "060E2B34 0401010D 0E150004 02000000"
	slog3Cine  = "060E2B34 04010106 0E060401 01010605"
	sgamut3C   = "060E2B34 04010106 0E060401 01030105"
	bt709Coded = "060E2B34 04010101 04010101 02020000"
)

// klv is a key, a length in BER of three bytes, and the value.
func klv(key string, value ...[]byte) []byte {
	v := join(value...)
	return join(unhex(key), []byte{0x83, byte(len(v) >> 16), byte(len(v) >> 8), byte(len(v))}, v)
}

// frameSample is an rtmd sample of 28 bytes of header, sets and zeros.
func frameSample(sets ...[]byte) []byte {
	header := make([]byte, 28)
	copy(header, []byte{0, 28})
	copy(header[13:], []byte{10, 2, 30, 0, 12})
	return join(header, join(sets...), make([]byte, 32))
}

// cameraSets are the sets of one frame with the settings that may change from frame to frame.
func cameraSets(gamma string, iso, irisWord int) []byte {
	return join(
		klv(lensKey, item(0x8000, u16(irisWord))),
		klv(cameraKey, item(0x3210, unhex(gamma)), item(0x810B, u16(iso))),
	)
}

// workedSample is the sample of testdata/rtmd_sample.hex.
func workedSample(t testing.TB) []byte {
	t.Helper()
	p, err := os.ReadFile("testdata/rtmd_sample.hex")
	if err != nil {
		t.Fatal(err)
	}
	return unhex(string(regexp.MustCompile(`(?m)^#.*$`).ReplaceAll(p, nil)))
}
