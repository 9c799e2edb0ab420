package reporttest

import (
	"reflect"

	"stopledger/analyze/detect"
	"stopledger/analyze/placement"
	"stopledger/report"
)

// Unknown fills a document in which every list has an entry, every pointer points to something, and
// every quantity is v, such as NaN. Words, counts and settings stay empty.
func Unknown(v float64) *report.Document {
	doc := &report.Document{Schema: report.Schema}
	doc.Clips = make([]report.Clip, 2)
	fill(reflect.ValueOf(&doc.Clips[0]).Elem(), v)
	fill(reflect.ValueOf(&doc.Clips[1]).Elem(), v)
	for i := range doc.Clips {
		c := &doc.Clips[i]
		c.Path = []string{"a/unknown 1.mov", "a/unknown 2.mov"}[i]
		c.Placement.Method, c.Placement.Chart = placement.Chart, &detect.Chart{}
		fill(reflect.ValueOf(c.Placement.Chart).Elem(), v)
		c.Pictures = nil
	}
	return doc
}

// fill sets every quantity below a value; lists get two entries.
func fill(at reflect.Value, v float64) {
	switch at.Kind() {
	case reflect.Float64:
		at.SetFloat(v)
	case reflect.Pointer:
		if at.CanSet() {
			at.Set(reflect.New(at.Type().Elem()))
			fill(at.Elem(), v)
		}
	case reflect.Slice:
		if at.CanSet() && at.Type().Elem().Kind() != reflect.String {
			at.Set(reflect.MakeSlice(at.Type(), 2, 2))
			fill(at.Index(0), v)
			fill(at.Index(1), v)
		}
	case reflect.Array:
		for i := range at.Len() {
			fill(at.Index(i), v)
		}
	case reflect.Struct:
		for i := range at.NumField() {
			if at.Type().Field(i).IsExported() {
				fill(at.Field(i), v)
			}
		}
	}
}
