package lut

import (
	"errors"
	"fmt"
	"strings"
)

// values returns the numbers of an array and how many stand in a row. dims are the forms its
// dim may have, N standing for a count up to maxEntries.
func (a *clfArray) values(dims ...string) (columns int, v []float64, err error) {
	if a == nil {
		return 0, nil, errors.New("has no Array")
	}
	have := strings.Fields(a.Dim)
	for _, dim := range dims {
		rows, columns, ok := matchDim(have, strings.Fields(dim))
		if !ok {
			continue
		}
		fields := strings.Fields(a.Text)
		if len(fields) != rows*columns {
			return 0, nil, fmt.Errorf("its Array has %d numbers where dim says %d", len(fields), rows*columns)
		}
		v, err := numbers(fields)
		return columns, v, err
	}
	return 0, nil, fmt.Errorf("its Array's dim %.20q is not %s", a.Dim, strings.Join(dims, " or "))
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
