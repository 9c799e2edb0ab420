package audit

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"

	"stopledger/analyze"
	"stopledger/cmd/internal/exact"
	"stopledger/curve"
	"stopledger/curve/lut"
	"stopledger/decode"
	"stopledger/decode/metadata"
)

// A Measurement is everything that was found out about one clip by itself. What comes after it, grey
// carried over, advice, the document, needs no frame. It does not change once made.
type Measurement struct {
	Info     decode.Info      // of the file
	Said     metadata.Record  // what the clip says of its recording
	Result   analyze.Result   // what was measured
	Settings analyze.Settings // those that decide it, as Deciding returns them
}

// Deciding returns the settings that decide what is measured in a clip; the others only bear on what
// is made of it, or on how fast.
func Deciding(s analyze.Settings) analyze.Settings {
	return analyze.Settings{ReadAs: s.ReadAs, GreyFrom: s.GreyFrom, EveryFrame: s.EveryFrame, Region: s.Region}
}

// Bytes returns the measurement as bytes, with nothing lost.
func (m *Measurement) Bytes() ([]byte, error) { return codecFor(m.Settings.ReadAs).Marshal(*m) }

// MeasurementFrom reads what Bytes returned, of a clip measured with the same settings: a curve from
// a file is taken from them. Bytes of another version of the program are exact.ErrOtherType.
func MeasurementFrom(b []byte, s analyze.Settings) (*Measurement, error) {
	m := new(Measurement)
	return m, codecFor(s.ReadAs).Unmarshal(b, m)
}

// Names for curves and display transforms that the user named with a flag, beside those of published
// curves.
const (
	flagCurve    = "--curve"
	assumedCurve = "--assume"
	flagDisplay  = "--display"
	noCurve      = ""
	noDisplay    = ""
)

// unkept writes that there is a display transform, which is not kept.
var unkept = exact.With(exact.Codec{}, exact.Names[*lut.Transform]{
	Name: func(t *lut.Transform) (string, error) {
		if t == nil {
			return noDisplay, nil
		}
		return flagDisplay, nil
	},
	Find: func(string) (*lut.Transform, error) { return nil, nil },
})

// codecFor returns the codec for what is read as the user says. Curves are functions, which are
// written by name.
func codecFor(as metadata.ReadAs) exact.Codec {
	return exact.With(unkept, exact.Names[*curve.Curve]{
		Name: func(c *curve.Curve) (string, error) {
			switch {
			case c == nil:
				return noCurve, nil
			case isPublished(c):
				return c.Name, nil
			case c == as.Curve.Curve:
				return flagCurve, nil
			case c == as.Assume.Curve:
				return assumedCurve, nil
			}
			return "", fmt.Errorf("the curve %s is neither published nor named by a flag", c.Name)
		},
		Find: func(name string) (*curve.Curve, error) {
			switch name {
			case noCurve:
				return nil, nil
			case flagCurve:
				return as.Curve.Curve, nil
			case assumedCurve:
				return as.Assume.Curve, nil
			}
			return curve.Find(name)
		},
	})
}

// isPublished tells a published curve from a file's, which may have taken its name.
func isPublished(c *curve.Curve) bool {
	p, err := curve.Find(c.Name)
	return err == nil && p.Name == c.Name && p.Source == c.Source && p.Index == c.Index
}

// settingsDigest tells apart settings with which clips are measured differently.
func settingsDigest(s analyze.Settings) (string, error) {
	b, err := codecFor(s.ReadAs).Marshal(Deciding(s))
	if err != nil {
		return "", fmt.Errorf("the settings cannot be kept: %w", err)
	}
	sum := sha256.New()
	sum.Write(b)
	for _, c := range []*curve.Curve{s.Curve.Curve, s.Assume.Curve} {
		if c == nil || isPublished(c) {
			continue // its name says it
		}
		const steps = 4096
		for i := range steps + 1 { // a file may hold another curve the next time
			bits := math.Float64bits(float64(c.Decode(float64(i) / steps)))
			sum.Write(binary.LittleEndian.AppendUint64(nil, bits))
		}
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}
