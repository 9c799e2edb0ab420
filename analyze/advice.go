package analyze

import (
	"fmt"
	"math"
	"strings"

	"stopledger/curve"
)

// Advice is what to do about a clip's exposure.
type Advice struct {
	Action   string  // pull, lift, hold
	Stops    float64 // how far, positive
	Findings []Finding
	After    After
	Next     NextTake
}

// After is the state after the correction; NaN where not known.
type After struct {
	SNR     float64 // dB at scene -4 stops
	Nominal float64 // dB there, had grey been placed at nominal
	Ceiling float64 // where the recording's ceiling lands on the display, percent of its signal
}

// NextTake is what to change on the next take; NaN where not known.
type NextTake struct {
	Stops float64 // exposure change; + opens up
	Zebra float64 // percent that grey then reads
	Text  string
	For   []ForSNR
}

// ForSNR is the placement that puts scene -4 stops at an SNR, and where grey then reads.
type ForSNR struct{ SNR, Placement, Zebra float64 }

// Limits of the advice. Each is common practice, no source, unless it says otherwise; the
// reasons stand in DEVELOPERS.md, "Levels".
const (
	holdWithin  = 0.15 // stops: a correction smaller than this is not worth a node
	greyNote    = 0.5  // stops off target from which a placement is pointed out
	greyCaution = 2.5  // stops over, from which a card's placement is doubtful or costly
	underNote   = 0.3  // stops under, from which shadows pay
	underAlarm  = 2.0  // stops under nominal: shadows are in the noise
	thinSNR     = 20.0 // dB at scene -4 stops after the correction: plainly grainy
	deadSNR     = 12.0 // dB there: beyond repair without heavy noise reduction
	fieldAlarm  = 0.10 // of the frame: a tenth of it gone
	hueShare    = 0.25 // of a field, with channels left, from which colour shifts show
	greyCeiling = 92.0 // percent of display signal below which a clipped field reads as grey
	channelGap  = 0.01 // of the frame clipped in one channel while another holds
	margin      = 0.3  // stops kept under the ceiling on the next take
	// unseenCeiling is how far a camera may end below its curve where the clip does not show it:
	// S-Log3 recordings end 1.7 stops below the curve's end.
	unseenCeiling = 2.0
)

// wantedSNR are the SNRs at scene -4 stops for which the next take's placement is worked out.
var wantedSNR = []float64{20, 26, 32}

// Facts are what advice rests on.
type Facts struct {
	Placement  *Placement // nil when nothing was found
	Target     float64    // placement wanted, stops over nominal
	Noise      *Noise
	Highlights Highlights
	Variation  Variation
	Reading    curve.Reading
	LossyCodec bool
	Doubts     []Finding
}

// Advise is a pure function of what was measured and the placement wanted.
func Advise(f Facts) Advice {
	a := Advice{Action: "hold", After: After{math.NaN(), math.NaN(), math.NaN()},
		Next: NextTake{Stops: math.NaN(), Zebra: math.NaN()}}
	if p := f.Placement; p != nil && !p.Weak {
		off := p.Stops - f.Target
		switch {
		case off >= holdWithin:
			a.Action, a.Stops = "pull", off
		case off <= -holdWithin:
			a.Action, a.Stops = "lift", -off
		}
	}
	a.After = after(f, a)
	a.Findings = append(a.Findings, greyFindings(f)...)
	a.Findings = append(a.Findings, highlightFindings(f, a)...)
	a.Findings = append(a.Findings, noiseFindings(f, a)...)
	a.Findings = append(a.Findings, variationFindings(f.Variation)...)
	a.Findings = append(a.Findings, f.Doubts...)
	a.Next = nextTake(f)
	return a
}

// Correction returns the exposure change in stops: negative for a pull.
func (a Advice) Correction() float64 {
	if a.Action == "pull" {
		return -a.Stops
	}
	return a.Stops
}

func after(f Facts, a Advice) After {
	r := After{math.NaN(), math.NaN(), math.NaN()}
	if f.Placement != nil && !f.Placement.Weak {
		r.SNR = snrAt(f.Noise, f.Placement.Stops+shadowStops)
		r.Nominal = snrAt(f.Noise, shadowStops)
	}
	light := f.Reading.Linear(f.Highlights.Ceiling.Code) * math.Exp2(a.Correction())
	r.Ceiling = 100 * DisplaySignal(DisplayLight(light))
	return r
}

func greyFindings(f Facts) (out []Finding) {
	p := f.Placement
	if p == nil {
		return []Finding{{"grey-weak", Note, "No grey was found: name it with --region, or shoot a card."}}
	}
	if p.Weak {
		text := "Placement is only the scene's average level: no ground for a correction."
		if p.Method == "face" {
			text = "Placement rests on a face, and skin is not grey: no ground for a correction unless --subject face is given."
		}
		return []Finding{{"grey-weak", Note, text}}
	}
	off := p.Stops - f.Target
	switch {
	case off >= greyCaution:
		out = append(out, Finding{"grey-over", Caution, fmt.Sprintf("Grey is %.1f stops over the target: more than exposing over nominal usually asks for.", off)})
	case off >= greyNote:
		out = append(out, Finding{"grey-over", Note, fmt.Sprintf("Grey is %.1f stops over the target.", off)})
	case p.Stops <= -underAlarm:
		out = append(out, Finding{"grey-under", Alarm, fmt.Sprintf("Grey is %.1f stops under nominal: lifting brings up the noise with it.", -p.Stops)})
	case off <= -underNote:
		out = append(out, Finding{"grey-under", Caution, fmt.Sprintf("Grey is %.1f stops under the target; lifting brings up the noise with it.", -off)})
	}
	return out
}

func highlightFindings(f Facts, a Advice) (out []Finding) {
	var field, points, hue float64
	for _, area := range f.Highlights.Areas {
		if area.Field {
			field += area.Share
			hue += area.Share * area.Hue
		} else {
			points += area.Share
		}
	}
	if field > 0 {
		level := Caution
		if field >= fieldAlarm {
			level = Alarm
		}
		out = append(out, Finding{"field-clipped", level, fmt.Sprintf("%s of the frame is clipped in fields such as sky or windows: nothing brings it back.", percent(field, 1))})
		if a.After.Ceiling < greyCeiling {
			out = append(out, Finding{"grey-ceiling", Caution, fmt.Sprintf("After the correction the clipped field sits at %.0f %% on the display and reads as flat grey: bring its white up in the grade.", a.After.Ceiling)})
		}
	}
	if points > 0 {
		out = append(out, Finding{"points-clipped", Note, fmt.Sprintf("Lamps or glints clip (%s of the frame): usually no loss.", percent(points, 2))})
	}
	if some := f.Highlights.Clipped.Any - f.Highlights.Clipped.All; some >= channelGap || (field > 0 && hue/field >= hueShare) {
		out = append(out, Finding{"channel-clipped", Caution, fmt.Sprintf("In %s of the frame only one or two channels clip: hue shifts there.", percent(some, 1))})
	}
	return out
}

// percent writes a share of the frame, and "under" the last digit where nothing would be left.
func percent(share float64, digits int) string {
	least := math.Pow10(-digits)
	if 100*share < least/2 {
		return fmt.Sprintf("under %.*f %%", digits, least)
	}
	return fmt.Sprintf("%.*f %%", digits, 100*share)
}

func noiseFindings(f Facts, a Advice) (out []Finding) {
	switch {
	case f.Noise.Suppressed != "":
		out = append(out, Finding{"noise-suppressed", Caution, "The recorded noise understates the camera's: " + f.Noise.Suppressed + ". No noise figure is given."})
	case f.LossyCodec:
		out = append(out, Finding{"noise-recorded", Note, "Noise is as recorded: coding leaves somewhat less (or, rarely, more) than the camera made."})
	}
	snr := a.After.SNR
	switch {
	case snr < deadSNR:
		out = append(out, Finding{"shadows-thin", Alarm, fmt.Sprintf("Shadows at -4 stops carry only %.0f dB.", math.Round(snr)+0)})
	case snr < thinSNR:
		out = append(out, Finding{"shadows-thin", Caution, fmt.Sprintf("Shadows at -4 stops carry %.0f dB: plainly grainy.", snr)})
	}
	return out
}

func variationFindings(v Variation) (out []Finding) {
	if !math.IsNaN(v.Step) {
		out = append(out, Finding{"step", Caution, fmt.Sprintf("Exposure steps by %+.2f stops at %.1f s (aperture, gain or light).", v.Step, v.StepAt)})
	}
	if !math.IsNaN(v.Drift) {
		out = append(out, Finding{"drift", Caution, fmt.Sprintf("Exposure drifts by %+.2f stops over the clip (cloud, or automatic exposure).", v.Drift)})
	}
	if !math.IsNaN(v.Flicker) {
		out = append(out, Finding{"flicker", Caution, fmt.Sprintf("Light flickers by %.2f stops peak to peak at %.1f Hz: mains light beats with the frame rate; a shutter of a whole number of its periods avoids it.", v.Flicker, v.FlickerHz)})
	}
	return out
}

// nextTake says what to change: come down far enough that fields hold, or open up as far as
// shadows want and highlights allow.
func nextTake(f Facts) NextTake {
	n := NextTake{Stops: math.NaN(), Zebra: math.NaN()}
	if f.Placement == nil || f.Placement.Weak {
		n.Text = "Put a grey card in the light of the subject for a few seconds; then the next take can be advised."
		return n
	}
	placement := f.Placement.Stops
	zebra := func(stops float64) float64 { return f.Reading.Percent(f.Reading.CodeOf(curve.FromStops(stops))) }
	for _, snr := range wantedSNR {
		if p := placementFor(f.Noise, snr); !math.IsNaN(p) {
			n.For = append(n.For, ForSNR{snr, p, zebra(p)})
		}
	}
	room := f.Highlights.Headroom - margin
	if !f.Highlights.Ceiling.Measured {
		room -= unseenCeiling
	}
	var clipped bool
	for _, a := range f.Highlights.Areas {
		clipped = clipped || a.Field
	}
	switch {
	case clipped && placement > f.Target+holdWithin:
		n.Stops = f.Target - placement
		n.Text = fmt.Sprintf("Close down %.1f stops: a field clips, and grey sits above the target.", -n.Stops)
	case clipped:
		n.Stops = 0
		n.Text = "A field clips with grey at the target: shade or filter it, add light to the subject, or accept it."
	case math.IsNaN(room):
		n.Text = "How far the highlights reach is not known: no light was recorded to tell by."
	case len(n.For) > 1 && n.For[1].Placement > placement+holdWithin && room > holdWithin:
		n.Stops = math.Min(n.For[1].Placement-placement, room)
		n.Text = fmt.Sprintf("Open up %.1f stops: shadows gain, and the brightest content stays at least %.1f stops under the ceiling.", n.Stops, room+margin-n.Stops)
	default:
		n.Stops = 0
		n.Text = "Keep this exposure."
		if room > holdWithin {
			n.Text = strings.TrimSuffix(n.Text, ".") + fmt.Sprintf("; up to %.1f stops more would still hold the highlights.", room)
		}
	}
	if !math.IsNaN(n.Stops) {
		n.Zebra = zebra(placement + n.Stops)
	}
	return n
}

// placementFor returns the placement that puts scene -4 stops at an SNR in dB, NaN without a model.
func placementFor(n *Noise, snr float64) float64 {
	if n.Model == nil || n.Suppressed != "" {
		return math.NaN()
	}
	return n.Model.Floor(math.Pow(10, snr/20)) - shadowStops
}
