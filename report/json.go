package report

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// WriteJSON writes the document as one JSON value, indented, with a newline at its end.
//
// Numbers are rounded as they are written (see roundJSON), so that another processor's last bit
// does not change the file. What is not finite is written as null, a list without entries as [].
func WriteJSON(w io.Writer, doc Document) error { return writeJSON(w, doc) }

// ReadJSON reads a document that WriteJSON wrote, perhaps by a later version: fields it does not
// know are passed over.
func ReadJSON(r io.Reader) (Document, error) {
	var doc Document
	if err := json.NewDecoder(bufio.NewReader(r)).Decode(&doc); err != nil {
		return Document{}, fmt.Errorf("this is not an audit in JSON: %w", err)
	}
	if doc.Schema != Schema {
		return Document{}, fmt.Errorf("this is of schema %q; wanted %q", doc.Schema, Schema)
	}
	return doc, nil
}

func writeJSON(w io.Writer, v any) error {
	_, err := w.Write(append(appendJSON(nil, reflect.ValueOf(v), "", 0), '\n'))
	return err
}

// appendJSON appends v as JSON. name is the field v is the value of: it decides the rounding.
func appendJSON(b []byte, v reflect.Value, name string, depth int) []byte {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return append(b, "null"...)
		}
		return appendJSON(b, v.Elem(), name, depth)
	case reflect.Struct:
		return append(appendFields(append(b, '{'), v, depth+1, true), closing('}', depth)...)
	case reflect.Slice, reflect.Array:
		return appendList(b, v, name, depth)
	case reflect.Map:
		return appendMap(b, v, name, depth)
	case reflect.Float64:
		if f := v.Float(); !finite(f) {
			return append(b, "null"...)
		}
		return append(b, plain(roundJSON(name, v.Float()))...)
	}
	return append(b, plain(v.Interface())...)
}

// appendFields appends the fields of a struct; an embedded struct's fields join its parent's.
func appendFields(b []byte, v reflect.Value, depth int, first bool) []byte {
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		switch {
		case field.Anonymous && name == "":
			b = appendFields(b, v.Field(i), depth, first)
			first = false
			continue
		case name == "" || name == "-" || options == "omitempty" && isEmpty(v.Field(i)):
			continue
		}
		b = appendName(b, name, depth, first)
		b = appendJSON(b, v.Field(i), name, depth)
		first = false
	}
	return b
}

func appendMap(b []byte, v reflect.Value, name string, depth int) []byte {
	keys := v.MapKeys()
	if len(keys) == 0 {
		return append(b, "{}"...)
	}
	slices.SortFunc(keys, func(x, y reflect.Value) int { return strings.Compare(x.String(), y.String()) })
	b = append(b, '{')
	for i, k := range keys {
		b = appendName(b, k.String(), depth+1, i == 0)
		b = appendJSON(b, v.MapIndex(k), name, depth+1)
	}
	return append(b, closing('}', depth)...)
}

// appendList puts plain numbers and words on one line and anything else on lines of its own.
func appendList(b []byte, v reflect.Value, name string, depth int) []byte {
	inline := isPlain(v.Type().Elem())
	b = append(b, '[')
	for i := range v.Len() {
		if i > 0 {
			b = append(b, ',')
		}
		if !inline {
			b = append(b, newline(depth+1)...)
		} else if i > 0 {
			b = append(b, ' ')
		}
		b = appendJSON(b, v.Index(i), name, depth+1)
	}
	if inline || v.Len() == 0 {
		return append(b, ']')
	}
	return append(b, closing(']', depth)...)
}

func appendName(b []byte, name string, depth int, first bool) []byte {
	if !first {
		b = append(b, ',')
	}
	b = append(b, newline(depth)...)
	return append(append(b, plain(name)...), ": "...)
}

func newline(depth int) string { return "\n" + strings.Repeat("  ", depth) }

func closing(bracket byte, depth int) string { return newline(depth) + string(bracket) }

func isPlain(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Array, reflect.Slice:
		return isPlain(t.Elem())
	case reflect.Struct, reflect.Map, reflect.Pointer, reflect.Interface:
		return false
	}
	return true
}

func isEmpty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map:
		return v.Len() == 0
	}
	return v.IsZero()
}

// plain is the JSON of a string, a bool or a finite number, which cannot fail.
func plain(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic("report: a field of the document is of a kind that is not plain: " + err.Error())
	}
	return b
}

// roundJSON rounds a number as it is written: five significant digits for scene-linear light and
// its errors, which span many decades; six decimals for shares of the frame and short times; four
// for stops, codes, percents, decibels and the rest.
func roundJSON(name string, v float64) float64 {
	switch {
	case strings.HasSuffix(name, "_linear") || strings.HasSuffix(name, "_error"):
		return significant(v, 5)
	case strings.Contains(name, "share") || slices.Contains(fineNames, name):
		return roundTo(v, 6)
	}
	return roundTo(v, 4)
}

var fineNames = []string{"value", "r", "g", "b", "any", "all", "below", "clipped_any", "shutter_s", "frame_rate", "tint"}

func significant(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil {
		return v // rounded up beyond the largest number
	}
	return r
}
