package audit

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"

	"stopledger/analyze"
	"stopledger/analyze/still"
	"stopledger/cmd/internal/exact"
	"stopledger/curve"
	"stopledger/curve/lut"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/report"
	"stopledger/report/picture"
)

// A request is what a worker is asked for, of one clip.
type request struct {
	Path     string
	Parts    []string // of a clip recorded in several files
	Step     step
	Settings analyze.Settings

	// For a view and pictures only.
	Measured []byte // the Measurement
	Clip     *report.Clip
	At       *geometry.Rect
}

// A step is one job of a worker.
type step string

const (
	opening   step = "opening it"
	measuring step = "measuring it"
	viewing   step = "looking at it"
	picturing step = "taking its pictures"
)

// A reply is what a worker answers; which part is set depends on the step.
type reply struct {
	Failed   *failure
	Info     decode.Info
	Measured []byte       // a Measurement
	View     *still.Still // nil where it cannot be read again
	Pictures *picture.Rendered
}

// A failure is an error on its way to another process.
type failure struct {
	Path, What, Do string // of a *decode.ClipError
	Kind           int    // its place in kinds, one higher; 0 for none
	Other          string // any other error; then the rest is empty
	OfPictures     bool   // it was a *PictureError
}

var kinds = []error{decode.ErrUnreadable, decode.ErrEmpty, decode.ErrNoVideo, decode.ErrDamaged,
	decode.ErrUnsupported, decode.ErrMemory}

func failureOf(err error) *failure {
	if err == nil {
		return nil
	}
	var pictures *PictureError
	if errors.As(err, &pictures) {
		return &failure{Path: pictures.Path, Other: pictures.Err.Error(), OfPictures: true}
	}
	var c *decode.ClipError
	if !errors.As(err, &c) {
		return &failure{Other: err.Error()}
	}
	f := &failure{Path: c.Path, What: c.What, Do: c.Do}
	for i, kind := range kinds {
		if errors.Is(err, kind) {
			f.Kind = i + 1
		}
	}
	return f
}

// err returns the error as it was.
func (f *failure) err() error {
	switch {
	case f == nil:
		return nil
	case f.OfPictures:
		return &PictureError{f.Path, errors.New(f.Other)}
	case f.Other != "":
		return errors.New(f.Other)
	}
	c := &decode.ClipError{Path: f.Path, What: f.What, Do: f.Do}
	if f.Kind > 0 && f.Kind <= len(kinds) {
		c.Err = kinds[f.Kind-1]
	}
	return c
}

// wire writes requests and replies. A curve from a file goes by the file's path, and by a digest of
// its values: a file that has changed since is an error. So does a display transform.
var wire = exact.With(exact.With(exact.Codec{}, exact.Names[*curve.Curve]{Name: wireName, Find: wireCurve}),
	exact.Names[*lut.Transform]{Name: transformName, Find: new(oneTransform).find})

const fromFile = "file " // before digest and path

func wireName(c *curve.Curve) (string, error) {
	switch {
	case c == nil:
		return noCurve, nil
	case isPublished(c):
		return c.Name, nil
	}
	return fromFile + digest(c) + " " + c.Source.Title, nil
}

func wireCurve(name string) (*curve.Curve, error) {
	of, ok := strings.CutPrefix(name, fromFile)
	if !ok && name != noCurve {
		return curve.Find(name)
	}
	sum, path, _ := strings.Cut(of, " ")
	if path == "" {
		return nil, nil
	}
	c, err := lut.Load(path)
	if err == nil && digest(c) != sum {
		err = fmt.Errorf("curve file %s has changed since the program started; start again", path)
	}
	return c, err
}

func transformName(t *lut.Transform) (string, error) {
	if t == nil {
		return noDisplay, nil
	}
	return t.Digest + " " + t.Path, nil
}

// oneTransform keeps the display transform that was read last: reading a large one takes seconds, and
// all clips of a run have the same.
type oneTransform struct {
	mu   sync.Mutex
	name string
	last *lut.Transform
}

func (o *oneTransform) find(name string) (*lut.Transform, error) {
	if name == noDisplay {
		return nil, nil
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.name == name {
		return o.last, nil
	}
	sum, path, _ := strings.Cut(name, " ")
	t, err := lut.LoadTransform(path)
	if err == nil && t.Digest != sum {
		err = fmt.Errorf("display file %s has changed since the program started; start again", path)
	}
	if err == nil {
		o.name, o.last = name, t
	}
	return t, err
}

// digest tells curves apart by their values.
func digest(c *curve.Curve) string {
	const steps = 1024
	h := sha256.New()
	var b []byte
	for i := range steps + 1 {
		n := (float64(i)/steps*1.2 - 0.1) * c.Top
		b = binary.LittleEndian.AppendUint64(b[:0], math.Float64bits(float64(c.Decode(n))))
		h.Write(b)
	}
	fmt.Fprint(h, c.Name, c.Convention, c.Top)
	return hex.EncodeToString(h.Sum(nil)[:8])
}
