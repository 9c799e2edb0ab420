// Package handover writes corrections of exposure as files for programs that grade: a file a clip in each
// format, and lists of all. The numbers are curve/adjust's.
package handover

import (
	"errors"
	"fmt"
	"math"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// An Order is the correction of a clip.
type Order struct {
	Clip      report.File   // path, time code, rate and length: what finds the clip again
	Reading   curve.Reading // it was recorded with
	Stops     curve.Stops   // to apply to scene-linear light, rounded as it is told; - darkens
	Placement curve.Stops   // of the tone that is the subject's grey, over nominal
	Sure      bool          // it was measured; else it is where grey is taken to lie
	Assumed   bool          // the curve was not named by the clip, but by --assume
}

// Rounded returns stops as files apply them: to a thousandth.
func Rounded(stops curve.Stops) curve.Stops { return curve.Round(stops, 3) }

// A Wish is what is asked for beside the advice.
type Wish struct {
	Stops  *curve.Stops // for all clips in place of the advice; nil for the advice
	Curve  *curve.Curve // of clips whose curve came from a file; nil where none was named
	Target curve.Stops  // that clips are brought to which do not say their own
}

// OrderOf returns the correction of a clip. refused says why there is none; it is empty where there is.
func OrderOf(c *report.Clip, w Wish) (o Order, refused string) {
	stops := c.Advice.Correction()
	switch {
	case w.Stops != nil:
		stops = *w.Stops
	case c.Advice.Action == advise.Hold:
		return Order{}, "hold: grey is at the target or near enough; --stops S makes a file all the same"
	case Rounded(stops) == 0 || !curve.Finite(stops):
		return Order{}, "none: nothing tells well enough what to do; --stops S makes a file all the same. " +
			c.Advice.Summary
	}
	o = Order{Clip: c.File, Stops: Rounded(stops), Assumed: c.Curve.Assumed}
	var err error
	if o.Reading, err = ReadingOf(c, w.Curve); err != nil {
		return Order{}, err.Error()
	}
	if p := c.Placement; p != nil && !p.Weak && curve.Finite(p.Stops) {
		o.Placement, o.Sure = p.Stops, true
		return o, ""
	}
	target := w.Target
	if c.Advice.Target != nil {
		target = *c.Advice.Target
	}
	o.Placement = target - o.Stops
	return o, ""
}

// ReadingOf returns how a clip of a document was read. named is the curve of a clip whose curve came from
// a file; nil where there is none. It is an error where the curve is not to be had, or is another one
// than the clip was read with.
func ReadingOf(c *report.Clip, named *curve.Curve) (curve.Reading, error) {
	r := curve.Reading{Curve: publishedOf(c), Bits: c.Bits}
	if c.Range.Value == string(metadata.FullRange) {
		r.Range = curve.Full
	}
	name := metadata.Printable(c.Curve.Name)
	if r.Curve == nil {
		r.Curve = named
	}
	if r.Curve == nil {
		return r, fmt.Errorf("its curve %s came from a file: name that file with --curve", name)
	}
	if r.Bits < 8 || r.Bits > 16 {
		return r, errors.New("the audit does not say its bit depth: measure the clip again")
	}
	const same = 0.01 // of a 10-bit code; documents have four decimals
	if grey := r.Code(r.CodeOf(curve.MidGrey)); !(math.Abs(float64(grey-c.Curve.MidGrey.Code)) <= same) {
		return r, fmt.Errorf("its curve %s had grey at code %.2f when it was measured, and has it at %.2f now: "+
			"measure the clip again", name, float64(c.Curve.MidGrey.Code), float64(grey))
	}
	return r, nil
}

// publishedOf returns the published curve of a document, nil where its curve is none.
func publishedOf(c *report.Clip) *curve.Curve {
	p, err := curve.Find(c.Curve.Name)
	if err == nil && c.Curve.Index != 0 {
		p, err = p.WithIndex(c.Curve.Index)
	}
	if err != nil || c.Curve.Source != "" && p.Source.String() != c.Curve.Source {
		return nil // early documents have no source
	}
	return p
}
