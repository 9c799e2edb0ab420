package exact

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"reflect"
	"slices"
)

// ErrOtherType says that bytes are of another type, or of another version of it.
var ErrOtherType = errors.New("the bytes are of another type or version")

// ErrDamaged says that bytes do not hold what they should.
var ErrDamaged = errors.New("the bytes are damaged")

// A Names writes values that are not made of data by a name, such as a function that both sides
// know: all values of the type T.
type Names[T any] struct {
	Name func(T) (string, error) // of a value
	Find func(string) (T, error) // the value of a name
}

// A Codec writes and reads values.
type Codec struct{ named map[reflect.Type]naming }

type naming struct {
	name func(reflect.Value) (string, error)
	find func(string) (reflect.Value, error)
}

// With returns a codec that writes the values of T by name, too.
func With[T any](c Codec, n Names[T]) Codec {
	named := map[reflect.Type]naming{}
	for t, by := range c.named {
		named[t] = by
	}
	named[reflect.TypeFor[T]()] = naming{
		name: func(v reflect.Value) (string, error) { return n.Name(v.Interface().(T)) },
		find: func(name string) (reflect.Value, error) {
			v, err := n.Find(name)
			return reflect.ValueOf(&v).Elem(), err
		},
	}
	return Codec{named}
}

const digestBytes = 8

// digest tells types apart: their kinds and the names of their fields, all the way down.
func (c Codec) digest(t reflect.Type) ([]byte, error) {
	var described bytes.Buffer
	if err := c.describe(&described, t, nil); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(described.Bytes())
	return sum[:digestBytes], nil
}

func (c Codec) describe(to *bytes.Buffer, t reflect.Type, above []reflect.Type) error {
	if _, named := c.named[t]; named {
		fmt.Fprintf(to, "named %s ", t)
		return nil
	}
	fmt.Fprintf(to, "%s ", t.Kind())
	if at := slices.Index(above, t); at >= 0 {
		fmt.Fprintf(to, "again %d ", len(above)-at)
		return nil
	}
	above = append(slices.Clip(above), t)
	switch t.Kind() {
	case reflect.Bool, reflect.String, reflect.Float32, reflect.Float64,
		reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return nil
	case reflect.Slice, reflect.Pointer:
		return c.describe(to, t.Elem(), above)
	case reflect.Array:
		fmt.Fprintf(to, "%d ", t.Len())
		return c.describe(to, t.Elem(), above)
	case reflect.Map:
		if t.Key().Kind() != reflect.String {
			return fmt.Errorf("exact: %s has keys that are no strings", t)
		}
		return c.describe(to, t.Elem(), above)
	case reflect.Struct:
		return c.describeFields(to, t, above)
	}
	return fmt.Errorf("exact: %s is not data", t)
}

func (c Codec) describeFields(to *bytes.Buffer, t reflect.Type, above []reflect.Type) error {
	fmt.Fprintf(to, "%d ", t.NumField())
	for i := range t.NumField() {
		f := t.Field(i)
		if !f.IsExported() {
			return fmt.Errorf("exact: %s keeps its field %s to itself", t, f.Name)
		}
		fmt.Fprintf(to, "%s ", f.Name)
		if err := c.describe(to, f.Type, above); err != nil {
			return err
		}
	}
	return nil
}
