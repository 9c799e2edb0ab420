package report

import (
	"strconv"
	"strings"
)

// cameraFacts are what the recording says of the camera; what it does not say, or what the page
// says elsewhere, is left out.
func cameraFacts(c Clip) []keyFigure {
	cam := c.Camera
	if cam == nil {
		return nil
	}
	var list facts
	list.say("Camera", joinWith(" ", cam.Make, cam.Model), prefixed("serial ", cam.Serial))
	list.say("Lens", joinWith(", ", cam.Lens, amount("", cam.FocalMM, " mm")), "")
	list.say("ISO", amount("", cam.ISO, ""), "")
	list.say("Exposure index", amount("", cam.ExposureIndex, ""), "")
	list.say("Gain", amount("", cam.GainDB, " dB"), "")
	list.say("Exposure mode", cam.Exposure, "")
	if s, ok := known(cam.ShutterS); ok && s > 0 {
		list.say("Shutter", shutterWords(s), "")
	}
	list.say("Shutter angle", amount("", cam.ShutterDeg, "°"), "")
	list.say("Iris", joinWith(", ", amount("f/", cam.IrisF, ""), amount("T", cam.IrisT, "")), "")
	list.say("ND", amount("", cam.NDStops, " stops"), "")
	list.say("White balance", amount("", cam.WhiteBalanceK, " K"), amount("tint ", cam.Tint, prefixed(" ", cam.TintUnit)))
	if v, ok := known(cam.CaptureFPS); ok && roundTo(v, 2) != roundTo(c.FrameRate, 2) {
		list.say("Captured at", amount("", &v, " fps"), "")
	}
	list.say("Gamut", cam.Gamut, "")
	if cam.Timecode != "" && cam.Timecode != c.Timecode {
		list.say("Timecode", cam.Timecode, "the camera's own")
	}
	if cam.Look != nil {
		list.say("Look", lookWords(*cam.Look), "carried along, not applied to the recording")
	}
	list.say("Changed while recording", strings.Join(cam.Changes, "; "), "")
	return list
}

type facts []keyFigure

// say adds a fact, or only its note where that is all there is; nothing where there is neither.
func (f *facts) say(label, words, note string) {
	if words == "" {
		words, note = note, ""
	}
	if words != "" {
		*f = append(*f, keyFigure{label, typeset(Printable(words)), typeset(Printable(note))})
	}
}

// amount writes a number between words, "" where it is not known.
func amount(before string, v *float64, after string) string {
	if n, ok := known(v); ok {
		return before + plainNumber(n) + after
	}
	return ""
}

func prefixed(before, words string) string {
	if words == "" {
		return ""
	}
	return before + words
}

// lookWords writes a colour decision list in the order of the standard.
func lookWords(l Look) string {
	three := func(name string, v [3]float64) string {
		return name + " " + plainNumber(v[0]) + " " + plainNumber(v[1]) + " " + plainNumber(v[2])
	}
	return three("slope", l.Slope) + ", " + three("offset", l.Offset) + ", " + three("power", l.Power) + ", saturation " + plainNumber(l.Saturation)
}

// plainNumber formats a number as short as it is exact to five digits.
func plainNumber(v float64) string {
	return strconv.FormatFloat(v, 'g', 5, 64)
}

// shutterWords writes an exposure time as photographers do: "1/50 s".
func shutterWords(s float64) string {
	if s >= 0.5 {
		return plainNumber(roundTo(s, 2)) + " s"
	}
	return "1/" + plainNumber(roundTo(1/s, 1)) + " s"
}
