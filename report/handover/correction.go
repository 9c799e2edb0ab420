package handover

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"stopledger/curve"
	"stopledger/curve/adjust"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// UsualError is the largest error of a CDL that is allowed unless another is asked for, from 2 stops under to
// 4 over the subject's grey: what is plainly seen in a face (common practice, no source).
const UsualError = 0.2 // stops

// Scene tones between which a correction must be right, and the lowest whose error is told.
const (
	least  = -2
	most   = 4
	lowest = -4
)

// A Correction is an order in one format and domain.
type Correction struct {
	As     Kind               // its format
	Domain curve.Domain       // what 0..1 stands for
	Worst  curve.Stops        // largest error from 2 stops under to 4 over the subject's grey; +Inf where black
	Errors []report.ToneError // by whole stops from 4 under to 4 over

	order  Order
	change adjust.Change
	made   adjust.Correction
	offset float64     // of a CDL
	at     curve.Stops // scene tone of Worst
}

// Make returns the order in a format and domain.
func (o Order) Make(as Kind, d curve.Domain) *Correction {
	k := &Correction{As: as, Domain: d, order: o, change: adjust.Change{Reading: o.Reading, Domain: d, Stops: o.Stops}}
	switch as {
	case CDL:
		cdl := k.change.CDL(o.Placement)
		k.made, k.offset = cdl, cdl.Offset
	case Cube:
		k.made = k.change.Cube()
	default:
		k.made = k.change.CLF()
	}
	k.Worst, k.at = k.change.WorstError(k.made, o.Placement+least, o.Placement+most)
	k.at -= o.Placement
	for tone := curve.Stops(lowest); tone <= most; tone++ {
		e := k.change.ErrorAt(k.made, o.Placement+tone)
		k.Errors = append(k.Errors, report.ToneError{Scene: tone, Error: e, Black: e < 0 && !curve.Finite(e)})
	}
	return k
}

// Refused says why a CDL is too far off for the largest error allowed; it is empty where it is not.
func (k *Correction) Refused(most curve.Stops) string {
	if k.As != CDL || k.Worst <= most {
		return ""
	}
	where := "at the subject's grey"
	if k.at != 0 {
		where = sideOf(k.at)
	}
	how := "is off by " + k.Worst.Plain(2)
	if !curve.Finite(k.Worst) {
		how = "makes black"
	}
	return fmt.Sprintf("as one offset of codes it %s %s, more than the %s allowed (--max-error): use the CLF or the cube",
		how, where, most.Plain(2))
}

func sideOf(scene curve.Stops) string {
	if scene < 0 {
		return (-scene).Plain(1) + " under the subject's grey"
	}
	return scene.Plain(1) + " over the subject's grey"
}

// Name is the correction's file beside others, of a stem.
func (k *Correction) Name(stem string) string { return stem + "_" + string(k.Domain) + endings[k.As] }

// Write writes the file; stem is its name among corrections.
func (k *Correction) Write(w io.Writer, stem string, by report.Tool) error {
	return k.made.Write(w, k.label(stem, by))
}

// Bytes returns the file.
func (k *Correction) Bytes(stem string, by report.Tool) []byte {
	var b bytes.Buffer
	_ = k.Write(&b, stem, by) // a Buffer takes everything
	return b.Bytes()
}

// label is what the file says of itself.
func (k *Correction) label(stem string, by report.Tool) adjust.Label {
	name := k.order.Reading.Curve.Name
	if k.order.Assumed {
		name += " (assumed)"
	}
	return adjust.Label{ID: stem, Name: report.ClipName(k.order.Clip.Path), Values: k.values(),
		About: []string{
			"Clip " + k.order.Clip.Path,
			k.order.change() + ", " + name + " before and after",
			k.Exactness(),
			fmt.Sprintf("Written by %s %s, clip mark %s", by.Name, by.Version, Mark(k.order.Clip.Path)),
		}}
}

// change says what the files of the order do.
func (o Order) change() string { return "Exposure " + o.Stops.Signed(3) + " in scene-linear light" }

// values says what a program must hand to the file.
func (k *Correction) values() string {
	r := k.order.Reading
	scale := "values as the curve's paper scales them"
	if k.Domain == curve.VideoDomain {
		scale = "values once the file's range is undone, as most programs do"
	}
	return fmt.Sprintf("%s, %s: 0..1 stands for %s of the %s-range %d-bit clip", r.Curve.Name, scale,
		k.order.Codes(k.Domain), metadata.NameOf(r.Range), r.Bits)
}

// Codes names the clip's codes that 0..1 stands for in a domain: "codes 64..940".
func (o Order) Codes(d curve.Domain) string {
	gain, offset := o.Reading.InDomain(d)
	code := func(v float64) float64 {
		return float64(curve.Round(o.Reading.Recorded((v-offset)/gain), 0))
	}
	return fmt.Sprintf("codes %.0f..%.0f", code(0), code(1))
}

// SOP returns the numbers of a CDL by name, as they are written; nil for other formats.
func (k *Correction) SOP() [][2]string {
	cdl, ok := k.made.(adjust.CDL)
	if !ok {
		return nil
	}
	slope, offset, power := cdl.SOP()
	return [][2]string{{"slope", strings.Join(slope[:], " ")}, {"offset", strings.Join(offset[:], " ")},
		{"power", strings.Join(power[:], " ")}, {"saturation", cdl.Saturation()}}
}

// Exactness says how near the file comes to the exact correction.
func (k *Correction) Exactness() string {
	const span = "from 2 stops under to 4 over the subject's grey"
	if k.As == CDL {
		return k.toneErrors()
	}
	told := "Exact to a thousandth of a stop " + span
	if k.Worst >= 0.0005 {
		told = "Off by up to " + k.Worst.Plain(3) + " " + span
	}
	const worthTelling = 0.05 // of a 10-bit code
	if off, at := k.change.Furthest(k.made); off >= worthTelling {
		told += fmt.Sprintf("; over all codes off by up to %.1f of 1023, near code %s", float64(off), at)
	}
	return told
}

// toneErrors tells the errors of a CDL.
func (k *Correction) toneErrors() string {
	var told []string
	for _, e := range k.Errors {
		tone := "at grey"
		if e.Scene != 0 {
			tone = "at " + text.Signed(e.Scene, 0, "")
		}
		told = append(told, errorWords(e)+" "+tone)
	}
	grey := "the subject's grey"
	if !k.order.Sure {
		grey = "grey, which is taken to lie " + k.order.Placement.Signed(2) + " from nominal"
	}
	return "One offset is not quite an exposure change. Exact for " + grey + "; elsewhere off by these stops: " +
		strings.Join(told, ", ")
}

// errorWords are the error at a tone.
func errorWords(e report.ToneError) string {
	switch {
	case e.Black:
		return "black"
	case !curve.Finite(e.Error):
		return "beyond the recording"
	}
	return text.Signed(e.Error, 2, "")
}

// entry is the file in a document.
func (k *Correction) entry(name string) report.CorrectionFile {
	e := report.CorrectionFile{Path: k.order.Clip.Path, File: name, As: string(k.As), Stops: k.order.Stops,
		Domain: k.Domain, Curve: k.order.Reading.Curve.Name, Worst: k.Worst, Offset: curve.Unknown[curve.Amount]()}
	if k.As == CDL {
		e.Offset, e.Errors = curve.Amount(k.offset), k.Errors
	}
	return e
}
