package lut

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
)

// maxTransformBytes bounds a file of a transform: the largest table with six digits takes two thirds.
const maxTransformBytes = 96 << 20

// A Transform takes R, G and B to other R, G and B, as a display transform does: 0..1 as a rule.
type Transform struct {
	Path   string // of its file
	Digest string // of the file's content, SHA-256
	steps  []step
}

// LoadTransform reads a transform: a cube file (one- or three-dimensional, or a one-dimensional table
// in front of a three-dimensional one) or a file of the Common LUT Format 3 (Academy S-2014-006). See
// cubeSteps and clfTransform for what each may hold. Nothing in a file is passed over: what is not
// known is an error, with its line.
func LoadTransform(path string) (*Transform, error) {
	data, err := readBounded("display file", path, maxTransformBytes)
	if err != nil {
		return nil, err
	}
	t, err := transformOf(data, strings.ToLower(filepath.Ext(path)))
	if err != nil {
		return nil, fmt.Errorf("display file %s: %w", path, err)
	}
	sum := sha256.Sum256(data)
	t.Path, t.Digest = path, hex.EncodeToString(sum[:])
	return t, nil
}

func transformOf(data []byte, extension string) (*Transform, error) {
	var t Transform
	var err error
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // a byte-order mark
	switch {
	case bytes.HasPrefix(bytes.TrimSpace(data), []byte("<")):
		t.steps, err = clfTransform(data)
	case extension == ".cube":
		t.steps, err = cubeSteps(data)
	case extension == ".clf":
		err = errors.New("is not XML, as a CLF file is")
	default:
		err = errors.New("is neither a .cube nor a .clf file: save the display transform as one of those")
	}
	if err == nil {
		err = t.computes()
	}
	return &t, err
}

// computes refuses a transform whose numbers are legal one by one but make none that can be shown.
func (t *Transform) computes() error {
	const edge = 9
	for i := range edge * edge * edge {
		for _, v := range t.RGB([3]float64{
			float64(i%edge) / (edge - 1), float64(i/edge%edge) / (edge - 1), float64(i/edge/edge) / (edge - 1)}) {
			if math.IsNaN(v) || math.Abs(v) > math.MaxFloat32 {
				return errors.New("its numbers are too large or too small to compute with")
			}
		}
	}
	return nil
}

// RGB returns what the transform makes of R, G and B.
func (t *Transform) RGB(rgb [3]float64) [3]float64 {
	for _, s := range t.steps {
		s.apply(&rgb)
	}
	return rgb
}
