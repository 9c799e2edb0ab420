package metadata

import (
	"encoding/binary"
	"errors"
)

// A universalLabel is a SMPTE ST 298 label or key. Byte 8 is the version of the register and
// never part of the meaning.
type universalLabel [16]byte

// same compares two labels without regard to the register's version.
func (l universalLabel) same(other universalLabel) bool {
	l[7], other[7] = 0, 0
	return l == other
}

// labelPrefix opens every SMPTE label.
const labelPrefix = "\x06\x0E\x2B\x34"

// The keys of the per-frame sets (SMPTE metadata registers, Groups.xml; RDD 18), and of a maker's
// sets of the same purpose under the private number 0E15.
var (
	lensSet          = universalLabel{6, 0x0E, 0x2B, 0x34, 2, 0x53, 1, 1, 0x0C, 2, 1, 1, 1, 1, 0, 0}
	cameraSet        = universalLabel{6, 0x0E, 0x2B, 0x34, 2, 0x53, 1, 1, 0x0C, 2, 1, 1, 2, 1, 0, 0}
	userSet          = universalLabel{6, 0x0E, 0x2B, 0x34, 2, 0x53, 1, 1, 0x0C, 2, 1, 1, 0x7F, 1, 0, 0}
	privateLensSet   = universalLabel{6, 0x0E, 0x2B, 0x34, 4, 1, 1, 0x0D, 0x0E, 0x15, 0, 4, 1, 0, 0, 0}
	privateCameraSet = universalLabel{6, 0x0E, 0x2B, 0x34, 4, 1, 1, 0x0D, 0x0E, 0x15, 0, 4, 2, 0, 0, 0}
)

// frameSets are the keys looked for.
var frameSets = []universalLabel{lensSet, cameraSet, userSet, privateLensSet, privateCameraSet}

func isFrameSet(l universalLabel) bool {
	for _, s := range frameSets {
		if l.same(s) {
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

// eachTriplet calls f for each key, length and value in p, until the zeros that pad it. What comes
// before damage is kept.
func eachTriplet(p []byte, f func(k universalLabel, v []byte)) error {
	for len(p) >= 17 && string(p[:4]) == labelPrefix {
		length, used, err := berLength(p[16:])
		if err != nil {
			return err
		}
		rest := p[16+used:]
		if length > int64(len(rest)) {
			return errors.New("a set is longer than what holds it")
		}
		f(universalLabel(p[:16]), rest[:length])
		p = rest[length:]
	}
	return nil
}

// items are the values of a local set by their tags, each of two bytes as their lengths.
type items map[uint16][]byte

// maxItems bounds the items of one set; the registers know about sixty.
const maxItems = 1024

// read adds the items of a set until a tag 0000 or FFFF or the padding. The first of a tag is kept.
func (it items) read(p []byte) error {
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

// unsigned returns an item of a given number of bytes as a number.
func (it items) unsigned(tag uint16, bytes int) (uint64, bool) {
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
