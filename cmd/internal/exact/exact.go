// Package exact writes values as bytes and reads them back with nothing lost: nil is not empty, a
// pointer to zero is not nil, a number keeps every bit, an unknown one too. Its bytes begin with a
// digest of the value's type; bytes of a type that has changed since are refused, not guessed at.
package exact

import (
	"bytes"
	"reflect"
)

// Marshal returns a value as bytes.
func (c Codec) Marshal(v any) ([]byte, error) {
	b, err := c.digest(reflect.TypeOf(v))
	if err != nil {
		return nil, err
	}
	w := writer{c, b}
	err = w.write(reflect.ValueOf(v))
	return w.to, err
}

// Unmarshal sets what a pointer leads to, to the value of the bytes. The error is ErrOtherType,
// ErrDamaged, or that of a name that is not found.
func (c Codec) Unmarshal(b []byte, to any) error {
	v := reflect.ValueOf(to).Elem()
	digest, err := c.digest(v.Type())
	if err != nil {
		return err
	}
	rest, ours := bytes.CutPrefix(b, digest)
	if !ours {
		return ErrOtherType
	}
	r := reader{codec: c, rest: rest}
	r.read(v)
	if r.err == nil && len(r.rest) > 0 {
		r.err = ErrDamaged
	}
	return r.err
}
