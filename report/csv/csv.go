// Package csv writes an audit or a comparison as tables for spreadsheets and programs (RFC 4180).
package csv

import (
	"cmp"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strings"

	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// WriteAudit writes one row a clip under one row of heads, failed clips and what was
// skipped last.
func WriteAudit(w io.Writer, doc *report.Document) error {
	out, row := newWriter(w), make([]string, len(Columns))
	for i, col := range Columns {
		row[i] = col.Head
	}
	err := out.Write(row)
	if err == nil {
		err = doc.EachClip(func(_ int, c *report.Clip) error {
			for k, col := range Columns {
				row[k] = cell(col.value(c))
			}
			return out.Write(row)
		})
	}
	without := func(path, outcome, why string) {
		clear(row)
		row[0], row[1], row[2] = words(path), outcome, words(why)
		err = cmp.Or(err, out.Write(row))
	}
	for _, f := range doc.Failed {
		without(f.Path, "failed", f.Error)
	}
	for _, s := range doc.Skipped {
		without(s.Path, "skipped", s.Reason)
	}
	out.Flush()
	return cmp.Or(err, out.Error())
}

func newWriter(w io.Writer) *csv.Writer {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2.1
	return out
}

func write(w io.Writer, rows [][]string) error { return newWriter(w).WriteAll(rows) }

// words neutralises a text: what could act on a terminal or break the row is written out, and what a
// spreadsheet would run as a formula, a text that starts with = + - or @, gets an apostrophe before
// it (common practice, no source).
func words(s string) string {
	s = metadata.Printable(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

// number writes a quantity as its JSON is written; what is not known is empty.
func number(v json.Marshaler) string {
	b, err := v.MarshalJSON()
	if err != nil || string(b) == "null" {
		return ""
	}
	return string(b)
}

// cell writes the value of a column; nil, and a pointer that is nil, is empty.
func cell(v any) string {
	if p := reflect.ValueOf(v); !p.IsValid() || p.Kind() == reflect.Pointer && p.IsNil() {
		return ""
	}
	switch v := v.(type) {
	case json.Marshaler:
		return number(v)
	case bool:
		return text.YesNo(v)
	}
	return words(fmt.Sprint(v))
}
