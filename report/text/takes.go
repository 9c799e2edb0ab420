package text

import (
	"math"

	"stopledger/analyze/advise"
	"stopledger/curve"
)

var figureNames = map[string]string{
	"placement": "grey", "headroom": "headroom",
	"floor": "floor", "scene_floor": "floor from grey",
	"ceiling": "ceiling", "scene_ceiling": "ceiling from grey",
	"clipped_r": "clipped red", "clipped_g": "clipped green", "clipped_b": "clipped blue",
	"clipped_any": "clipped any", "clipped_all": "clipped all",
}

// FigureName names a figure of takes for people.
func FigureName(f advise.Figure) string {
	if f.SceneStops != nil {
		return "SNR " + f.SceneStops.FromGrey()
	}
	return figureNames[f.Name]
}

// FigureValue prints a figure's value.
func FigureValue(f advise.Figure) string {
	if f.Value == nil {
		return curve.Absent
	}
	switch f.Unit {
	case "dB":
		return curve.Decibels(f.Value.Value).String()
	case "share":
		return curve.Share(f.Value.Value).String()
	}
	if f.Name == "headroom" {
		return curve.Stops(f.Value.Value).Plain(1)
	}
	return curve.Stops(f.Value.Value).Signed(decimals(*f.Value))
}

// FigureInterval is a figure's 95 % interval, "" where it is not known.
func FigureInterval(f advise.Figure) string {
	if f.Value == nil || !f.Value.Bounded() {
		return ""
	}
	v := f.Value
	switch f.Unit {
	case "dB":
		return Number(v.Low, 1, "") + " to " + Number(v.High, 1, "")
	case "share":
		return curve.Share(v.Low).String() + " to " + curve.Share(v.High).String()
	}
	return Signed(v.Low, decimals(*v), "") + " to " + Signed(v.High, decimals(*v), "")
}

// Untold stands for a difference that cannot be told from none.
const Untold = "none"

// FigureDifference prints "+1.63 ±0.04 stops", half the 95 % interval after the sign, or Untold.
func FigureDifference(f advise.Figure) string {
	d := f.Difference
	if d == nil {
		return curve.Absent
	}
	digits, scale, unit := decimals(d.Estimate), curve.Amount(1), " "+f.Unit
	switch f.Unit {
	case "share":
		scale, unit = 100, " %"
	case "dB":
		digits = 1
	}
	if !d.Told || curve.Round(d.Value*scale, digits) == 0 {
		return Untold
	}
	half := ""
	if d.Bounded() {
		// An interval is never printed as nothing.
		half = " ±" + Number(max((d.High-d.Low)/2*scale, curve.Amount(math.Pow10(-digits))), digits, "")
	}
	return Signed(d.Value*scale, digits, "") + half + unit
}

func decimals(e advise.Estimate) int {
	return curve.StopsDecimals(curve.Stops(e.Low), curve.Stops(e.High))
}
