package container

import (
	"bytes"
	"encoding/binary"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
)

// A Key is one named value of the container.
type Key struct {
	Name  string // in lower case
	Value Value  // as written
	Where string // it stood
}

// A Value is a text, or a number and the text of it.
type Value struct {
	Text    string  // as written, or the number's
	Number  float64 // where Numeric
	Numeric bool    // it was written as a number
}

// Num returns the number of a value: typed, or the first number in its text, so that "179.2deg",
// "5600K", "F1.0" and "ND4" are read.
func (v Value) Num() (float64, bool) {
	if v.Numeric {
		return v.Number, true
	}
	from := strings.IndexAny(v.Text, "0123456789")
	if from < 0 {
		return 0, false
	}
	if from > 0 && v.Text[from-1] == '-' {
		from--
	}
	to := from + 1
	for to < len(v.Text) && strings.IndexByte("0123456789.", v.Text[to]) >= 0 {
		to++
	}
	f, err := strconv.ParseFloat(strings.TrimRight(v.Text[from:to], "."), 64)
	return f, err == nil && !math.IsInf(f, 0)
}

// utf16Text decodes UTF-16; a byte order mark overrides the order. An odd last byte is dropped.
func utf16Text(p []byte, order binary.ByteOrder) string {
	switch {
	case bytes.HasPrefix(p, []byte{0xFE, 0xFF}):
		p, order = p[2:], binary.BigEndian
	case bytes.HasPrefix(p, []byte{0xFF, 0xFE}):
		p, order = p[2:], binary.LittleEndian
	}
	units := make([]uint16, len(p)/2)
	for i := range units {
		units[i] = order.Uint16(p[2*i:])
	}
	return string(utf16.Decode(units))
}

// Text returns a text without the zero bytes and blanks that pad it.
func Text(p []byte) string {
	if i := bytes.IndexByte(p, 0); i >= 0 {
		p = p[:i]
	}
	return strings.TrimSpace(strings.ToValidUTF8(string(p), "\uFFFD"))
}
