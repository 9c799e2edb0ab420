package metadata

import (
	"fmt"

	"stopledger/curve"
)

// ReadAs is what the user says of how clips are to be read. The zero value asks for everything
// from the clip itself.
type ReadAs struct {
	Curve  CurveName   `json:"curve"`  // named with --curve; none for auto
	Assume AssumedName `json:"assume"` // for clips that name no curve; none leaves them unmeasured
	Index  int         `json:"ei"`     // exposure index for curves that have one; 0 for auto
	// AssumedBy and IndexBy are OriginConfig where the user's own defaults name the curve to assume
	// or the index, which then holds for clips that name none; else empty.
	AssumedBy Origin     `json:"assume_origin,omitempty"`
	IndexBy   Origin     `json:"ei_origin,omitempty"`
	Range     RangeName  `json:"range"`  // narrow, full or auto
	Matrix    MatrixName `json:"matrix"` // bt601, bt709, bt2020 or auto
}

// Auto is written where a curve, a range or a matrix is left to the clip.
const Auto = "auto"

// A CurveName is a curve with the name or the path under which the user asked for it.
type CurveName struct {
	Given string       // as the user wrote it; empty for auto
	Curve *curve.Curve // nil for auto
}

// MarshalText returns the name as given, or auto.
func (n CurveName) MarshalText() ([]byte, error) { return orAuto(n.Given), nil }

// UnmarshalText reads a name as MarshalText writes it. The curve is not looked for: it may have
// been a file.
func (n *CurveName) UnmarshalText(text []byte) error {
	*n = CurveName{Given: unlessAuto(text)}
	return nil
}

// An AssumedName is a CurveName for clips that name no curve. Without one it is written as an
// empty text.
type AssumedName CurveName

// MarshalText returns the name as given.
func (n AssumedName) MarshalText() ([]byte, error) { return []byte(n.Given), nil }

// UnmarshalText reads a name; the curve is not looked for.
func (n *AssumedName) UnmarshalText(text []byte) error {
	*n = AssumedName{Given: string(text)}
	return nil
}

// A RangeName is how codes span the video signal, by name.
type RangeName string

// Names of ranges.
const (
	AutoRange   RangeName = ""       // left to the clip; written as auto
	NarrowRange RangeName = "narrow" // black 64, white 940 at 10 bits
	FullRange   RangeName = "full"   // black 0, white 2^bits - 1
)

// NameOf returns the name of a range.
func NameOf(r curve.Range) RangeName {
	if r == curve.Full {
		return FullRange
	}
	return NarrowRange
}

// MarshalText returns narrow, full or auto.
func (n RangeName) MarshalText() ([]byte, error) { return orAuto(string(n)), nil }

// UnmarshalText reads narrow, full or auto; anything else is an error.
func (n *RangeName) UnmarshalText(text []byte) error {
	switch name := RangeName(unlessAuto(text)); name {
	case AutoRange, NarrowRange, FullRange:
		*n = name
		return nil
	}
	return fmt.Errorf("no range is called %q: it is narrow, full or auto", text)
}

// A MatrixName is a Y'CbCr encoding, by name.
type MatrixName string

// Names of matrices.
const (
	AutoMatrix MatrixName = ""       // left to the clip; written as auto
	BT601      MatrixName = "bt601"  // Recommendation ITU-R BT.601
	BT709      MatrixName = "bt709"  // Recommendation ITU-R BT.709
	BT2020     MatrixName = "bt2020" // Recommendation ITU-R BT.2020, non-constant luminance
)

// Matrix returns the matrix of a name; known is false for auto and for any other name.
func (n MatrixName) Matrix() (m curve.Matrix, known bool) {
	for _, m := range []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020} {
		if m.Name == string(n) {
			return m, true
		}
	}
	return curve.Matrix{}, false
}

// MarshalText returns bt601, bt709, bt2020 or auto.
func (n MatrixName) MarshalText() ([]byte, error) { return orAuto(string(n)), nil }

// UnmarshalText reads bt601, bt709, bt2020 or auto; anything else is an error.
func (n *MatrixName) UnmarshalText(text []byte) error {
	name := MatrixName(unlessAuto(text))
	if _, known := name.Matrix(); !known && name != AutoMatrix {
		return fmt.Errorf("no matrix is called %q: it is bt601, bt709, bt2020 or auto", text)
	}
	*n = name
	return nil
}

func orAuto(name string) []byte {
	if name == "" {
		name = Auto
	}
	return []byte(name)
}

func unlessAuto(text []byte) string {
	if string(text) == Auto {
		return ""
	}
	return string(text)
}
