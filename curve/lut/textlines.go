package lut

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// maxEntries is CLF's and cube's own limit of a one-dimensional table.
const maxEntries = 65536

// eachLine calls use with the fields of each line that has any, and puts the line's number
// before its error. The slice is used again.
func eachLine(data []byte, use func(fields []string) error) error {
	lines := bufio.NewScanner(bytes.NewReader(data))
	var fields []string
	for number := 1; lines.Scan(); number++ {
		text, _, _ := strings.Cut(lines.Text(), "#")
		if fields = appendFields(fields[:0], text); len(fields) == 0 {
			continue
		}
		if err := use(fields); err != nil {
			return fmt.Errorf("line %d: %w", number, err)
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("is not a text table: %w", err)
	}
	return nil
}

// appendFields adds the parts of a line between blanks, commas and semicolons: a large table has
// millions of lines.
func appendFields(fields []string, line string) []string {
	from := -1
	for i := range len(line) {
		switch line[i] {
		case ' ', '\t', '\r', ',', ';':
			if from >= 0 {
				fields = append(fields, line[from:i])
			}
			from = -1
		default:
			if from < 0 {
				from = i
			}
		}
	}
	if from >= 0 {
		fields = append(fields, line[from:])
	}
	return fields
}

// appendEntry adds an entry whose channels must be alike.
func appendEntry(out []float64, fields []string, channels int) ([]float64, error) {
	v, err := numbers(fields)
	if err != nil {
		return nil, err
	}
	if len(v) != channels {
		return nil, fmt.Errorf("an entry has %d numbers, not %d", channels, len(v))
	}
	if len(out) == maxEntries {
		return nil, fmt.Errorf("has more than %d entries", maxEntries)
	}
	x, err := alike(v)
	return append(out, x), err
}

// alike returns the one value of every channel.
func alike(channels []float64) (float64, error) {
	const printed = 1e-6 // tables are printed with six digits
	if len(channels) == 0 {
		return 0, errors.New("has no number")
	}
	for _, v := range channels[1:] {
		if !(math.Abs(v-channels[0]) <= printed*max(1, math.Abs(v))) {
			return 0, errors.New("its channels differ: a curve is the same for all")
		}
	}
	return channels[0], nil
}

func numbers(fields []string) ([]float64, error) {
	v := make([]float64, len(fields))
	for i, f := range fields {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("%.20q is not a number", f)
		}
		v[i] = x
	}
	return v, nil
}

func entryCount(fields []string) (int, error) {
	n, err := count(fields, maxEntries)
	if err == nil && n < 2 {
		err = errors.New("a table has two or more entries")
	}
	return n, err
}

// count reads one whole number in 1..most.
func count(fields []string, most int) (int, error) {
	if len(fields) != 1 {
		return 0, errors.New("one number is missing")
	}
	n, err := strconv.Atoi(fields[0])
	if err != nil || n < 1 || n > most {
		return 0, fmt.Errorf("%.20q is not a whole number from 1 to %d", fields[0], most)
	}
	return n, nil
}
