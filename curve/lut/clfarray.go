package lut

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// maxNumbers bounds an Array: the largest three-dimensional table.
const maxNumbers = 3 * mostEdge * mostEdge * mostEdge

// A clfArray is the numbers of an Array element.
type clfArray struct {
	dim     string
	numbers []float64
	err     error // of the first that is none, with its line
}

// UnmarshalXML reads the numbers as they come: a table may have millions.
func (a *clfArray) UnmarshalXML(d *xml.Decoder, start xml.StartElement) error {
	for _, attr := range start.Attr {
		if attr.Name.Local == "dim" {
			a.dim = attr.Value
		}
	}
	for {
		line, _ := d.InputPos()
		token, err := d.Token()
		if err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.CharData:
			a.take(t, line)
		case xml.StartElement:
			a.err = fmt.Errorf("line %d: its Array holds a %.20s", line, t.Name.Local)
			if err := d.Skip(); err != nil {
				return err
			}
		case xml.EndElement:
			return nil
		}
	}
}

// take adds the numbers of a text that begins at a line.
func (a *clfArray) take(text []byte, line int) {
	isSpace := func(b byte) bool { return unicode.IsSpace(rune(b)) }
	for i := 0; i < len(text) && a.err == nil; {
		if isSpace(text[i]) {
			if text[i] == '\n' {
				line++
			}
			i++
			continue
		}
		from := i
		for i < len(text) && !isSpace(text[i]) {
			i++
		}
		v, err := strconv.ParseFloat(string(text[from:i]), 64)
		switch {
		case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
			a.err = fmt.Errorf("line %d: %.20q is not a number", line, text[from:i])
		case len(a.numbers) == maxNumbers:
			a.err = fmt.Errorf("line %d: its Array has more than %d numbers", line, maxNumbers)
		}
		a.numbers = append(a.numbers, v)
	}
}

// values returns the numbers of an array and how many stand in a row. dims are the forms its
// dim may have, N standing for a count up to maxEntries.
func (a *clfArray) values(dims ...string) (columns int, v []float64, err error) {
	if a == nil {
		return 0, nil, errors.New("has no Array")
	}
	have := strings.Fields(a.dim)
	for _, dim := range dims {
		if rows, columns, ok := matchDim(have, strings.Fields(dim)); ok {
			v, err = a.all(rows * columns)
			return columns, v, err
		}
	}
	return 0, nil, fmt.Errorf("its Array's dim %.20q is not %s", a.dim, strings.Join(dims, " or "))
}

// all returns the numbers, of which there must be so many.
func (a *clfArray) all(n int) ([]float64, error) {
	if a.err == nil && len(a.numbers) != n {
		return nil, fmt.Errorf("its Array has %d numbers where dim says %d", len(a.numbers), n)
	}
	return a.numbers, a.err
}

// edge returns how many points a three-dimensional table has to an edge.
func (a *clfArray) edge() (int, error) {
	if a == nil {
		return 0, errors.New("has no Array")
	}
	dim := strings.Fields(a.dim)
	if len(dim) == 4 && dim[0] == dim[1] && dim[0] == dim[2] && dim[3] == "3" {
		if n, err := count(dim[:1], mostEdge); err == nil && n >= 2 {
			return n, nil
		}
	}
	return 0, fmt.Errorf("its Array's dim %.20q is not N N N 3 with N from 2 to %d", a.dim, mostEdge)
}

func matchDim(have, want []string) (rows, columns int, ok bool) {
	if len(have) != len(want) {
		return 0, 0, false
	}
	for i := range want {
		n, err := count(have[i:i+1], maxEntries)
		if err != nil || want[i] != "N" && have[i] != want[i] {
			return 0, 0, false
		}
		switch i {
		case 0:
			rows = n
		case 1:
			columns = n
		}
	}
	return rows, columns, rows >= 2
}
