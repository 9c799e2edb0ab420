package main

import (
	"fmt"
	"math"
	"strings"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/acquisition"
	"stopledger/report"
)

// A way is how one clip is to be read, each part with where it came from.
type way struct {
	reading curve.Reading
	matrix  curve.Matrix

	curveOrigin  string // fromFlag, fromAssume or an acquisition.Origin
	assumed      bool
	rangeOrigin  report.Origin
	matrixOrigin report.Origin
	doubts       []analyze.Finding
}

// Origins beside those of acquisition: what the user said, what the stream is tagged with, what
// the codec itself settles, and what holds where nothing is said.
const (
	fromFlag    = "flag"
	fromAssume  = "assumed"
	fromTag     = "tag"
	fromCodec   = "codec"
	fromDefault = "default"
)

// readClip finds out how a clip is to be read. A clip whose curve is not known is an error that
// says how to name it: a guess would shift every number by stops.
func readClip(info decode.Info, rec acquisition.Record, s auditSettings) (way, error) {
	var w way
	c, err := w.chooseCurve(info.Path, rec, s)
	if err != nil {
		return way{}, err
	}
	w.reading = curve.Reading{Curve: c, Range: w.chooseRange(c, info, rec, s), Bits: info.Bits}
	w.matrix = w.chooseMatrix(info, s)
	w.doubtCurve(rec)
	w.doubtMetadata(rec)
	return w, nil
}

// chooseCurve goes by the flag, then by what the clip says, most trusted first, then by the
// assumption.
func (w *way) chooseCurve(path string, rec acquisition.Record, s auditSettings) (*curve.Curve, error) {
	switch {
	case s.Curve != nil:
		w.curveOrigin = fromFlag
		return w.atIndex(path, s.Curve, rec.Camera, s.Index)
	case rec.Curve != nil:
		w.curveOrigin = string(rec.Curve.Origin)
		c, err := curve.Find(rec.Curve.Curve)
		if err != nil {
			return nil, &decode.ClipError{Path: path, What: rec.Curve.String() + ", which is not a curve known here", Do: "name the curve with --curve", Err: err}
		}
		return w.atIndex(path, c, rec.Camera, s.Index)
	case s.Assume != nil:
		w.curveOrigin, w.assumed = fromAssume, true
		return w.atIndex(path, s.Assume, rec.Camera, s.Index)
	}
	return nil, unknownCurve(path, rec)
}

// atIndex returns a curve that differs with the exposure index at the one the user gave, else at
// the one the clip was recorded at.
func (w *way) atIndex(path string, c *curve.Curve, camera *acquisition.Camera, asked int) (*curve.Curve, error) {
	if c.Indexes() == nil || hasIndex(c) {
		return c, nil
	}
	index := asked
	if index == 0 && camera != nil && camera.ExposureIndex != nil {
		index = int(math.Round(*camera.ExposureIndex))
	}
	if index == 0 {
		w.doubt("curve-doubt", analyze.Note, "%s differs with the exposure index, which is not said: it is read at %d; --ei names another.", c.Name, c.Index)
		return c, nil
	}
	at, err := c.WithIndex(index)
	if err != nil {
		return nil, &decode.ClipError{Path: path, What: err.Error(), Do: "name the exposure index with --ei", Err: err}
	}
	return at, nil
}

const indexMark = " EI" // before the index in a curve's name

func hasIndex(c *curve.Curve) bool { return strings.Contains(c.Name, indexMark) }

// withoutIndex returns the published name of a curve.
func withoutIndex(c *curve.Curve) string {
	name, _, _ := strings.Cut(c.Name, indexMark)
	return name
}

func (w *way) doubt(id, level, format string, args ...any) {
	w.doubts = append(w.doubts, analyze.Finding{ID: id, Level: level, Text: report.Printable(fmt.Sprintf(format, args...))})
}
