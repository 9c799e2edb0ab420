package advise

import (
	"fmt"
	"math"
	"strings"

	"stopledger/analyze/detect"
	"stopledger/analyze/levels"
	"stopledger/analyze/limit"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode/metadata"
)

// Doubted turns what a clip's metadata leaves in doubt into findings.
func Doubted(doubts []metadata.Doubt) (out []Finding) {
	for _, d := range doubts {
		level := Note
		if d.Caution {
			level = Caution
		}
		out = append(out, Finding{ID(d.ID), level, d.Text})
	}
	return out
}

// variationFindings point out how exposure moved over the clip.
func variationFindings(v variation.Result) (out []Finding) {
	if curve.Finite(v.Step) {
		out = append(out, Finding{Step, Caution, fmt.Sprintf("Exposure steps by %+.2f stops at %.1f s "+
			"(aperture, gain or light)%s.", v.Step, v.StepAt, noSingle(v.Step))})
	}
	if curve.Finite(v.Drift) {
		out = append(out, Finding{Drift, Caution, fmt.Sprintf("Exposure drifts by %+.2f stops over the clip "+
			"(cloud, or automatic exposure)%s.", v.Drift, noSingle(v.Drift))})
	}
	if curve.Finite(v.Flicker) {
		out = append(out, Finding{Flicker, Caution, fmt.Sprintf("Light flickers by %.2f stops peak to peak at %.1f Hz: "+
			"mains flicker: use 1/50 or 1/100 s (50 Hz), 1/60 or 1/120 s (60 Hz).",
			v.Flicker, v.FlickerHz)})
	}
	return out
}

// noSingle says that one correction does not fit the whole clip where exposure moves that far.
func noSingle(stops curve.Stops) string {
	if !moves(stops) {
		return ""
	}
	return ": no single pull or lift fits all of it"
}

// overlaySentence says what lies over the picture.
func overlaySentence(areas []overlay.Area) string {
	bars, marks := false, false
	for _, a := range areas {
		bars = bars || a.Kind == overlay.Matte
		marks = marks || a.Kind == overlay.Logo
	}
	switch {
	case bars && marks:
		return "Black bars and a logo or text lie over the picture: they are no light and are left out."
	case bars:
		return "Black bars lie over the picture: they are no light and are left out."
	}
	return "A logo or text lies over the picture: it is no light and is left out."
}

// readingFindings doubt how the file was read: its range, depth and curve, and whether it is whole.
func readingFindings(f Facts) (out []Finding) {
	if f.Levels != nil {
		out = append(out, rangeFindings(f.Levels, f.Reading)...)
		out = append(out, depthFindings(f.Levels, f.Reading)...)
	}
	if math.Abs(float64(f.Patches)) >= float64(limit.PatchGap) {
		out = append(out, Finding{CurveDoubt, Caution, fmt.Sprintf("The two regions should agree on the exposure "+
			"and differ by %+.2f stops: the curve or range may be another, or the light uneven.", f.Patches)})
	}
	switch {
	case f.Lost > 0:
		out = append(out, Finding{Truncated, Caution,
			strings.TrimSuffix(lostSentence(f.Lost), ".") + ": the clip is damaged or cut off."})
	case f.Truncated:
		out = append(out, Finding{Truncated, Caution,
			"The file ends before it says it does: it was cut off, and the rest of the clip is missing."})
	}
	if f.Change != "" {
		out = append(out, Finding{FormatChange, Caution,
			fmt.Sprintf("The picture changes %s: the clip is measured up to there.", f.Change)})
	}
	if len(f.Overlays) > 0 {
		out = append(out, Finding{Overlaid, Note, overlaySentence(f.Overlays)})
	}
	if f.Interlaced {
		out = append(out, Finding{Interlaced, Note, "The clip is interlaced: the two fields are measured as one frame, " +
			"and motion between them reads as texture."})
	}
	return append(out, chartFindings(f.Placement)...)
}

// rangeFindings compare the levels seen with the range they are read in. Below the curve's black
// only a curve whose black stands well over the range's can be doubted.
func rangeFindings(l *levels.Result, r curve.Reading) []Finding {
	black := r.Code(r.CodeOf(0))
	switch {
	case r.Range == curve.Narrow && l.Outside > limit.Outside:
		return []Finding{{RangeDoubt, Caution, fmt.Sprintf("%.0f %% of the picture lies outside the codes of "+
			"narrow range: the file may be full range (--range full).", 100*l.Outside)}}
	case l.UnderZero > limit.Outside && black > limit.LowBlack:
		return []Finding{{RangeDoubt, Caution, fmt.Sprintf("%.0f %% of the picture lies below the curve's black "+
			"(code %.0f): curve or range may be another.", 100*l.UnderZero, black)}}
	}
	return nil
}

// depthFindings tell a recording that is shallower than its file: every second or fourth code only,
// as when 8-bit pictures are stored at 10 bits.
func depthFindings(l *levels.Result, r curve.Reading) []Finding {
	if l.Span < limit.LeastSpan || r.Bits <= 8 || !l.Combed {
		return nil
	}
	if missing := 1 - curve.Share(l.Used)/curve.Share(l.Span); missing < limit.Empty {
		return nil
	}
	return []Finding{{DepthDoubt, Caution, fmt.Sprintf("Only %d of the %d codes between the darkest and the brightest "+
		"occur: the picture has fewer bits than its file.", l.Used, l.Span)}}
}

// chartFindings doubt the curve by the greys of a chart.
func chartFindings(p *placement.Placement) []Finding {
	if p == nil || p.Chart == nil || p.Chart.Doubt == nil {
		return nil
	}
	d, line := p.Chart.Doubt, p.Chart.Line
	switch d.Kind {
	case detect.StrayLight:
		return []Finding{{Flare, Caution, fmt.Sprintf("Stray light lies over the chart, about %.1f %% of a white's: "+
			"the shadows are lifted by it, and placement is less sure.", 100*d.Flare)}}
	case detect.WrongCurve:
		text := fmt.Sprintf("The chart's greys lie on a line of slope %.2f instead of 1: "+
			"the curve or range is probably another", line.Slope)
		if names := fittingCurves(d); names != "" {
			text += "; " + names + " would fit"
		}
		return []Finding{{CurveDoubt, Alarm, text + "."}}
	}
	return []Finding{{CurveDoubt, Caution, fmt.Sprintf("The chart's greys do not lie on a straight line "+
		"(%.2f stops off): curve, range or lighting is in doubt.", line.Residual)}}
}

// mostFits is how many curves that would fit are named.
const mostFits = 3

// fittingCurves names the curves that would fit best.
func fittingCurves(d *detect.Doubt) string {
	var names []string
	for _, fit := range d.Fits[:min(mostFits, len(d.Fits))] {
		names = append(names, fit.Reading.Curve.Name)
	}
	return strings.Join(names, ", ")
}
