package exact

import (
	"encoding/binary"
	"math"
	"reflect"
	"slices"
	"strings"
)

// A writer appends values to bytes.
type writer struct {
	codec Codec
	to    []byte
}

func (w *writer) number(n uint64) { w.to = binary.AppendUvarint(w.to, n) }

func (w *writer) text(s string) {
	w.number(uint64(len(s)))
	w.to = append(w.to, s...)
}

// write writes a value of a type that describe knows. A length is written one higher, so that 0 is
// nil.
func (w *writer) write(v reflect.Value) error {
	if by, named := w.codec.named[v.Type()]; named {
		name, err := by.name(v)
		w.text(name)
		return err
	}
	switch v.Kind() {
	case reflect.Slice, reflect.Map, reflect.Pointer, reflect.Array, reflect.Struct:
		return w.parts(v)
	case reflect.String:
		w.text(v.String())
	case reflect.Bool:
		w.to = append(w.to, byte(map[bool]int{true: 1}[v.Bool()]))
	case reflect.Float32, reflect.Float64:
		w.to = binary.LittleEndian.AppendUint64(w.to, math.Float64bits(v.Float()))
	default:
		if v.CanInt() {
			w.to = binary.AppendVarint(w.to, v.Int())
		} else {
			w.number(v.Uint())
		}
	}
	return nil
}

func (w *writer) parts(v reflect.Value) error {
	switch v.Kind() {
	case reflect.Struct:
		return w.each(v.NumField(), v.Field)
	case reflect.Array:
		return w.each(v.Len(), v.Index)
	}
	if v.IsNil() {
		w.number(0)
		return nil
	}
	if v.Kind() == reflect.Pointer {
		w.number(1)
		return w.write(v.Elem())
	}
	w.number(uint64(v.Len()) + 1)
	if v.Kind() == reflect.Map {
		return w.entries(v)
	}
	if v.Type().Elem().Kind() == reflect.Uint8 {
		w.to = append(w.to, v.Bytes()...)
		return nil
	}
	return w.each(v.Len(), v.Index)
}

func (w *writer) each(n int, part func(int) reflect.Value) error {
	for i := range n {
		if err := w.write(part(i)); err != nil {
			return err
		}
	}
	return nil
}

// entries writes a map in the order of its keys, so that equal values are equal bytes.
func (w *writer) entries(v reflect.Value) error {
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
	for _, k := range keys {
		w.text(k.String())
		if err := w.write(v.MapIndex(k)); err != nil {
			return err
		}
	}
	return nil
}
