// Package csv writes an audit or a comparison as tables for spreadsheets and programs (RFC 4180).
package csv

import (
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
	rows := [][]string{make([]string, len(Columns))}
	for i, col := range Columns {
		rows[0][i] = col.Head
	}
	for i := range doc.Clips {
		row := make([]string, len(Columns))
		for k, col := range Columns {
			row[k] = cell(col.value(&doc.Clips[i]))
		}
		rows = append(rows, row)
	}
	for _, f := range doc.Failed {
		row := make([]string, len(Columns))
		row[0], row[1], row[2] = words(f.Path), "failed", words(f.Error)
		rows = append(rows, row)
	}
	for _, s := range doc.Skipped {
		row := make([]string, len(Columns))
		row[0], row[1], row[2] = words(s.Path), "skipped", words(s.Reason)
		rows = append(rows, row)
	}
	return write(w, rows)
}

func write(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true // RFC 4180, section 2.1
	return out.WriteAll(rows)
}

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
