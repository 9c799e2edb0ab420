package curve

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// Decimals written to JSON: four for levels and ratios, six for shares and times, which may be
// small; light and its errors, which span many decades, are written to five significant digits.
const (
	levelDecimals = 4
	fineDecimals  = 6
	lightDigits   = 5
)

func (v Stops) MarshalJSON() ([]byte, error)        { return marshal(float64(v), levelDecimals) }
func (v Code) MarshalJSON() ([]byte, error)         { return marshal(float64(v), levelDecimals) }
func (v CodeVariance) MarshalJSON() ([]byte, error) { return marshal(float64(v), levelDecimals) }
func (v Percent) MarshalJSON() ([]byte, error)      { return marshal(float64(v), levelDecimals) }
func (v Decibels) MarshalJSON() ([]byte, error)     { return marshal(float64(v), levelDecimals) }
func (v Ratio) MarshalJSON() ([]byte, error)        { return marshal(float64(v), levelDecimals) }
func (v Share) MarshalJSON() ([]byte, error)        { return marshal(float64(v), fineDecimals) }
func (v Amount) MarshalJSON() ([]byte, error)       { return marshal(float64(v), fineDecimals) }
func (v Seconds) MarshalJSON() ([]byte, error)      { return marshal(float64(v), fineDecimals) }

// MarshalJSON writes light to five significant digits, null where it is not finite.
func (v Light) MarshalJSON() ([]byte, error) {
	if !Finite(v) {
		return []byte("null"), nil
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(float64(v), 'e', lightDigits-1, 64), 64)
	if err != nil {
		rounded = float64(v) // rounded up beyond the largest number
	}
	return json.Marshal(rounded + 0) // -0 + 0 is 0
}

func (v *Stops) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Light) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Code) UnmarshalJSON(b []byte) error         { return unmarshal(b, v) }
func (v *CodeVariance) UnmarshalJSON(b []byte) error { return unmarshal(b, v) }
func (v *Percent) UnmarshalJSON(b []byte) error      { return unmarshal(b, v) }
func (v *Decibels) UnmarshalJSON(b []byte) error     { return unmarshal(b, v) }
func (v *Ratio) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Share) UnmarshalJSON(b []byte) error        { return unmarshal(b, v) }
func (v *Amount) UnmarshalJSON(b []byte) error       { return unmarshal(b, v) }
func (v *Seconds) UnmarshalJSON(b []byte) error      { return unmarshal(b, v) }

func marshal(v float64, decimals int) ([]byte, error) {
	if !Finite(v) {
		return []byte("null"), nil
	}
	return json.Marshal(Round(v, decimals))
}

func unmarshal[T ~float64](b []byte, v *T) error {
	if bytes.Equal(b, []byte("null")) {
		*v = Unknown[T]()
		return nil
	}
	var f float64
	if err := json.Unmarshal(b, &f); err != nil {
		return err
	}
	*v = T(f)
	return nil
}
