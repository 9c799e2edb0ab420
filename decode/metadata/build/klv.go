// Package build makes metadata for tests, byte by byte as the standards and cameras have it. It
// shares no code with the readers.
package build

import (
	"bytes"
	_ "embed" // of the worked sample
	"encoding/binary"
	"encoding/hex"
	"regexp"
	"strings"
)

// KLV sets, written from SMPTE ST 336 and the metadata registers.

// U16 returns two bytes, big endian.
func U16(v int) []byte { return binary.BigEndian.AppendUint16(nil, uint16(v)) }

// U32 returns four bytes, big endian.
func U32(v int) []byte { return binary.BigEndian.AppendUint32(nil, uint32(v)) }

// U64 returns eight bytes, big endian.
func U64(v int) []byte { return binary.BigEndian.AppendUint64(nil, uint64(v)) }

// Join puts parts one after another.
func Join(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// Unhex reads hexadecimal digits with blanks between them.
func Unhex(s string) []byte {
	p, err := hex.DecodeString(strings.Join(strings.Fields(s), ""))
	if err != nil {
		panic(err)
	}
	return p
}

// Item returns a tag, a length and a value.
func Item(tag int, value []byte) []byte { return Join(U16(tag), U16(len(value)), value) }

// Keys of sets, and labels: gamma, primaries and coding equations.
const (
	LensKey     = "060E2B34 02530101 0C020101 01010000"
	CameraKey   = "060E2B34 02530101 0C020101 02010000"
	UserKey     = "060E2B34 02530101 0C020101 7F010000"
	Key15Lens   = "060E2B34 0401010D 0E150004 01000000"
	Key15       = "060E2B34 0401010D 0E150004 02000000"
	SLog3Cine   = "060E2B34 04010106 0E060401 01010605"
	SGamut3Cine = "060E2B34 04010106 0E060401 01030105"
	BT709Coded  = "060E2B34 04010101 04010101 02020000"
)

// KLV returns a key, a length in BER of three bytes, and the value.
func KLV(key string, value ...[]byte) []byte {
	v := Join(value...)
	return Join(Unhex(key), []byte{0x83, byte(len(v) >> 16), byte(len(v) >> 8), byte(len(v))}, v)
}

// FrameSample returns an rtmd sample of 28 bytes of header, sets and zeros.
func FrameSample(sets ...[]byte) []byte {
	header := make([]byte, 28)
	copy(header, []byte{0, 28})
	copy(header[13:], []byte{10, 2, 30, 0, 12})
	return Join(header, Join(sets...), make([]byte, 32))
}

// CameraSets returns the sets of one frame with the settings that may change from frame to frame.
func CameraSets(gamma string, iso, irisWord int) []byte {
	return Join(
		KLV(LensKey, Item(0x8000, U16(irisWord))),
		KLV(CameraKey, Item(0x3210, Unhex(gamma)), Item(0x810B, U16(iso))),
	)
}

//go:embed rtmd_sample.hex
var rtmdSample string

// WorkedSample returns a sample of an rtmd track, whose every byte is explained in its file.
func WorkedSample() []byte {
	return Unhex(regexp.MustCompile(`(?m)^#.*$`).ReplaceAllString(rtmdSample, ""))
}
