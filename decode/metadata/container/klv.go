package container

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// A Label is a SMPTE ST 298 label or key. Byte 8 is the version of the register and
// never part of the meaning.
type Label [16]byte

// Same compares two labels without regard to the register's version.
func (l Label) Same(other Label) bool {
	l[7], other[7] = 0, 0
	return l == other
}

// String returns the label in hexadecimal, in four groups.
func (l Label) String() string {
	return fmt.Sprintf("%X %X %X %X", l[0:4], l[4:8], l[8:12], l[12:16])
}

// labelPrefix opens every SMPTE label.
const labelPrefix = "\x06\x0E\x2B\x34"

// The keys of the per-frame sets (SMPTE metadata registers, Groups.xml; RDD 18), and of a maker's
// sets of the same purpose under the private number 0E15.
var (
	LensSet          = Label{6, 0x0E, 0x2B, 0x34, 2, 0x53, 1, 1, 0x0C, 2, 1, 1, 1, 1, 0, 0}
	CameraSet        = Label{6, 0x0E, 0x2B, 0x34, 2, 0x53, 1, 1, 0x0C, 2, 1, 1, 2, 1, 0, 0}
	UserSet          = Label{6, 0x0E, 0x2B, 0x34, 2, 0x53, 1, 1, 0x0C, 2, 1, 1, 0x7F, 1, 0, 0}
	PrivateLensSet   = Label{6, 0x0E, 0x2B, 0x34, 4, 1, 1, 0x0D, 0x0E, 0x15, 0, 4, 1, 0, 0, 0}
	PrivateCameraSet = Label{6, 0x0E, 0x2B, 0x34, 4, 1, 1, 0x0D, 0x0E, 0x15, 0, 4, 2, 0, 0, 0}
)

// FrameSets are the keys looked for.
var FrameSets = []Label{LensSet, CameraSet, UserSet, PrivateLensSet, PrivateCameraSet}

func isFrameSet(l Label) bool {
	for _, s := range FrameSets {
		if l.Same(s) {
			return true
		}
	}
	return false
}

// berLength reads a BER length (SMPTE ST 336, 4.3): one byte up to 127, or 80h + n and n bytes.
// used is how many bytes the length itself takes.
func berLength(p []byte) (length int64, used int, err error) {
	if len(p) == 0 {
		return 0, 0, errors.New("a length is cut off")
	}
	if p[0] < 0x80 {
		return int64(p[0]), 1, nil
	}
	n := int(p[0] & 0x7F)
	if n == 0 || n > 8 || len(p) < 1+n {
		return 0, 0, errors.New("a length has no readable form")
	}
	var v uint64
	for _, b := range p[1 : 1+n] {
		v = v<<8 | uint64(b)
	}
	if int64(v) < 0 {
		return 0, 0, errors.New("a length is too large")
	}
	return int64(v), 1 + n, nil
}

// EachTriplet calls f for each key, length and value in p, until the zeros that pad it. What comes
// before damage is kept.
func EachTriplet(p []byte, f func(k Label, v []byte)) error {
	for len(p) >= 17 && string(p[:4]) == labelPrefix {
		length, used, err := berLength(p[16:])
		if err != nil {
			return err
		}
		rest := p[16+used:]
		if length > int64(len(rest)) {
			return errors.New("a set is longer than what holds it")
		}
		f(Label(p[:16]), rest[:length])
		p = rest[length:]
	}
	return nil
}

// Items are the values of a local set by their tags, each of two bytes as their lengths.
type Items map[uint16][]byte

// maxItems bounds the items of one set; the registers know about sixty.
const maxItems = 1024

// Read adds the items of a set until a tag 0000 or FFFF or the padding. The first of a tag is kept.
func (it Items) Read(p []byte) error {
	for len(p) >= 4 && len(it) < maxItems {
		tag, n := binary.BigEndian.Uint16(p), int(binary.BigEndian.Uint16(p[2:]))
		if tag == 0 || tag == 0xFFFF {
			return nil
		}
		if n > len(p)-4 {
			return errors.New("an item is longer than its set")
		}
		if _, have := it[tag]; !have {
			it[tag] = p[4 : 4+n]
		}
		p = p[4+n:]
	}
	return nil
}

// Unsigned returns an item of a given number of bytes as a number.
func (it Items) Unsigned(tag uint16, bytes int) (uint64, bool) {
	p, ok := it[tag]
	if !ok || len(p) != bytes {
		return 0, false
	}
	var v uint64
	for _, b := range p {
		v = v<<8 | uint64(b)
	}
	return v, true
}
