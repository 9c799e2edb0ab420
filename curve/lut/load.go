// Package lut reads files that hold a curve or a display transform: the Common LUT Format, cube and
// spi1d tables, and plain columns of numbers.
package lut

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"stopledger/curve"
)

// maxFileBytes bounds a curve file: 65,536 entries of three long numbers take half of it.
const maxFileBytes = 8 << 20

// Load reads a user's curve: a CLF file (.clf; Academy S-2014-006, Common LUT Format 3), a
// one-dimensional .cube or .spi1d table, or any other text as two columns, "linear code" or
// "linear n". See readCLF, readCube, readSpi1d and readColumns for what each may hold.
//
// Light 0.18 in the file is taken for mid grey. No such file says whether its n is a data
// code or a video level: Convention is VideoScaled, what most hosts feed a table, unless the
// file counts in codes; the caller may set it. Grade is Open.
func Load(path string) (*curve.Curve, error) {
	data, err := readBounded("curve file", path, maxFileBytes)
	if err != nil {
		return nil, err
	}
	extension := strings.ToLower(filepath.Ext(path))
	read := readColumns
	switch {
	case bytes.HasPrefix(bytes.TrimSpace(data), []byte("<")):
		read = readCLF
	case extension == ".clf":
		return nil, fmt.Errorf("curve file %s: is not XML, as a CLF file is", path)
	case extension == ".cube":
		read = readCube
	case extension == ".spi1d":
		read = readSpi1d
	}
	c, err := read(data)
	if err == nil {
		err = usable(c)
	}
	if err != nil {
		return nil, fmt.Errorf("curve file %s: %w", path, err)
	}
	if c.Name == "" {
		c.Name = strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	}
	c.Source.Title = path
	c.Recorded = true
	return c, nil
}

// readBounded reads a file of a kind, of most bytes at most.
func readBounded(kind, path string, most int64) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s %s: there is no such file; check the path", kind, path)
	case err != nil:
		return nil, fmt.Errorf("%s: %w", kind, err)
	}
	if !info.Mode().IsRegular() { // to open a pipe may take for ever
		return nil, fmt.Errorf("%s %s: is not a file but a folder, pipe, socket or device; name a file", kind, path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", kind, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", kind, path, err)
	}
	if int64(len(data)) > most {
		return nil, fmt.Errorf("%s %s: is larger than %d MB, none needs that", kind, path, most>>20)
	}
	return data, nil
}

// usable refuses a curve whose numbers are legal one by one but do not make a curve.
func usable(c *curve.Curve) error {
	const steps = 64
	last := math.Inf(-1)
	for i := range steps + 1 {
		x := float64(c.Decode(c.Top * float64(i) / steps))
		back := float64(c.Decode(c.Encode(curve.Light(x))))
		if math.IsNaN(x) || math.IsInf(x, 0) || !(math.Abs(back-x) <= 1e-9*max(1, math.Abs(x))) {
			return errors.New("its numbers are too large or too small to compute with")
		}
		if x < last {
			return errors.New("light falls where the code rises: a curve must increase")
		}
		last = x
	}
	if !(last > curve.MidGrey) {
		return fmt.Errorf("its light ends at %.3g and never reaches 18 %% grey: "+
			"light must be scaled so that grey is 0.18", last)
	}
	return nil
}
