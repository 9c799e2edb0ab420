package exact

import (
	"encoding/binary"
	"math"
	"reflect"
)

// A reader reads what a writer wrote. After an error it reads zeros.
type reader struct {
	codec Codec
	rest  []byte
	err   error
}

// take cuts bytes off.
func (r *reader) take(n uint64) []byte {
	if r.err != nil || n > uint64(len(r.rest)) {
		r.fail()
		return nil
	}
	taken := r.rest[:n]
	r.rest = r.rest[n:]
	return taken
}

func (r *reader) fail() {
	if r.err == nil {
		r.err = ErrDamaged
	}
	r.rest = nil
}

func (r *reader) number() uint64 {
	n, width := binary.Uvarint(r.rest)
	if width <= 0 {
		r.fail()
		return 0
	}
	r.rest = r.rest[width:]
	return n
}

func (r *reader) signed() int64 {
	n, width := binary.Varint(r.rest)
	if width <= 0 {
		r.fail()
		return 0
	}
	r.rest = r.rest[width:]
	return n
}

func (r *reader) text() string { return string(r.take(r.number())) }

func (r *reader) read(v reflect.Value) {
	if by, named := r.codec.named[v.Type()]; named {
		found, err := by.find(r.text())
		if err != nil && r.err == nil {
			r.err = err
		}
		if r.err == nil {
			v.Set(found)
		}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			r.read(v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			r.read(v.Index(i))
		}
	case reflect.Slice, reflect.Map, reflect.Pointer:
		r.readNilOr(v)
	default:
		r.readPlain(v)
	}
}

func (r *reader) readPlain(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(r.text())
	case reflect.Bool:
		b := r.take(1)
		v.SetBool(b != nil && b[0] != 0)
	case reflect.Float32, reflect.Float64:
		if b := r.take(8); b != nil {
			v.SetFloat(math.Float64frombits(binary.LittleEndian.Uint64(b)))
		}
	default:
		if v.CanInt() {
			v.SetInt(r.signed())
		} else {
			v.SetUint(r.number())
		}
	}
}

// readNilOr reads what may be nil.
func (r *reader) readNilOr(v reflect.Value) {
	n := r.number()
	if n == 0 || r.err != nil {
		v.SetZero()
		return
	}
	n--
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		r.read(v.Elem())
	case reflect.Map:
		r.readMap(v, n)
	default:
		r.readSlice(v, n)
	}
}

func (r *reader) readMap(v reflect.Value, n uint64) {
	v.Set(reflect.MakeMap(v.Type()))
	for ; n > 0 && r.err == nil; n-- {
		key := reflect.ValueOf(r.text()).Convert(v.Type().Key())
		entry := reflect.New(v.Type().Elem()).Elem()
		r.read(entry)
		v.SetMapIndex(key, entry)
	}
}

// readSlice reads a slice, which grows as its bytes come: a forged length takes no memory.
func (r *reader) readSlice(v reflect.Value, n uint64) {
	elem := v.Type().Elem()
	if elem.Kind() == reflect.Uint8 {
		b := r.take(n)
		v.Set(reflect.MakeSlice(v.Type(), len(b), len(b)))
		reflect.Copy(v, reflect.ValueOf(b))
		return
	}
	if n > uint64(len(r.rest)) { // every part takes a byte at least
		r.fail()
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), 0, int(min(n, 1024))))
	for i := 0; uint64(i) < n && r.err == nil; i++ {
		if i == v.Cap() {
			v.Grow(1)
		}
		v.SetLen(i + 1)
		r.read(v.Index(i))
	}
}
