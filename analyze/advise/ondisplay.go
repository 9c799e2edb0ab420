package advise

import (
	"fmt"
	"path/filepath"

	"stopledger/analyze/display"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// onDisplay tells where levels land through the user's display file after an exposure change of
// correction stops; nil without a file.
func onDisplay(f Facts, correction curve.Stops) *OnDisplay {
	if f.Display == nil {
		return nil
	}
	file := f.Display.File
	d := &OnDisplay{File: file.Path, Digest: file.Digest, Domain: file.Domain, Expects: file.Expects,
		Grey: curve.Unknown[curve.Percent](), Ceiling: f.Display.Signal(ceilingAfter(f, correction)),
		Nominal: f.Display.Signal(file.Expects.Light()), White: f.Display.White()}
	if p := f.usable(); p != nil {
		d.Grey = f.Display.Signal((p.Stops + correction).Light())
	}
	const darkest, brightest, step = -14, 14, 0.5
	for level := curve.Stops(darkest); level <= brightest; level += step {
		d.Tones = append(d.Tones, ShownTone{level, f.Display.Signal(level.Light())})
	}
	return d
}

// ceilingAfter is the light of the recording's ceiling after an exposure change of correction stops.
func ceilingAfter(f Facts, correction curve.Stops) curve.Light {
	ceiling := f.Reading.Light(f.Reading.FileCode(f.Clipping.Ceiling.Code))
	return curve.Light(float64(ceiling) * correction.Gain())
}

// displaySentence says where grey and the ceiling land through the user's file.
func displaySentence(d *OnDisplay) string {
	if d == nil || !curve.Finite(d.Ceiling) {
		return ""
	}
	where := fmt.Sprintf("the ceiling shows at %.0f %% of its white", curve.Round(d.Ceiling, 0))
	if curve.Finite(d.Grey) {
		where = fmt.Sprintf("grey then shows at %.0f %% and the ceiling at %.0f %% of its white",
			curve.Round(d.Grey, 0), curve.Round(d.Ceiling, 0))
	}
	return "Through " + filepath.Base(d.File) + " " + where + "."
}

// displayFindings doubt that the user's display file was made for the clip's curve, by how it shows the
// curve's tones.
func displayFindings(f Facts) []Finding {
	if f.Display == nil {
		return nil
	}
	c := f.Reading.Curve
	wrong := unlike(f.Display.Fit(c))
	if wrong == "" {
		return nil
	}
	text := fmt.Sprintf("%s may not be made for %s as it is read here: %s.", filepath.Base(f.Display.File.Path),
		c.Name, wrong)
	if other := better(f.Display, c); other != "" {
		text += " It fits " + other + ", or a curve like it, better."
	}
	return []Finding{{DisplayDoubt, Caution, text + " Check which curve and which placement it is for " +
		"(--expects) and whether it takes video levels (--domain video); if it is right, look at the pictures."}}
}

// unlike says in what a file shows a curve's tones as no display transform does, "" where it does not.
func unlike(fit display.Fit) string {
	switch {
	case !(fit.Grey >= limit.DisplayDarkGrey && fit.Grey <= limit.DisplayBrightGrey):
		return fmt.Sprintf("grey placed as it expects would show at %.0f %% of its white, and display transforms "+
			"show it between %.0f and %.0f %%", fit.Grey, limit.DisplayDarkGrey, limit.DisplayBrightGrey)
	case !(fit.Veil <= limit.DisplayVeil):
		return fmt.Sprintf("no light at all would show %.0f %% over its black", fit.Veil)
	case !(fit.Toe <= limit.DisplayToe):
		return fmt.Sprintf("tones from %.0f stops under grey down would be black", -limit.DisplayToe)
	case !(fit.Contrast >= limit.DisplayFlat && fit.Contrast <= limit.DisplaySteep):
		return fmt.Sprintf("a stop around grey would show as %.0f %% of its white", fit.Contrast)
	}
	return ""
}

// better returns the recorded curve whose tones the file shows as display transforms do, "" for none;
// of several the one whose grey it shows nearest to the middle of what they do.
func better(r *display.Rendering, than *curve.Curve) string {
	const middle = (limit.DisplayDarkGrey + limit.DisplayBrightGrey) / 2
	name, nearest := "", curve.Percent(100)
	for _, c := range curve.All() {
		if !c.Recorded || c.Name == than.Name {
			continue
		}
		fit := r.Fit(c)
		if off := max(fit.Grey-middle, middle-fit.Grey); unlike(fit) == "" && off < nearest {
			name, nearest = c.Name, off
		}
	}
	return name
}
