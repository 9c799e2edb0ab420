package html

import (
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// A fact is a number or a setting with its name and what qualifies it.
type fact struct{ Label, Value, Note string }

type facts []fact

// say adds a fact, or only its note where that is all there is; nothing where there is neither.
func (f *facts) say(label, words, note string) {
	if words == "" {
		words, note = note, ""
	}
	if words != "" {
		*f = append(*f, fact{label, typeset(words), typeset(note)})
	}
}

// cameraFacts are what the recording says of the camera; what it does not say, or what the page
// says elsewhere, is left out.
func cameraFacts(c *report.Clip) facts {
	cam := c.Camera
	if cam == nil {
		return nil
	}
	var list facts
	list.say("Camera", joined(" ", cam.Make, cam.Model), prefixed("serial ", cam.Serial))
	list.say("Lens", joined(", ", cam.Lens, amount("", cam.FocalMM, " mm")), "")
	list.say("ISO", amount("", cam.ISO, ""), "")
	list.say("Exposure index", amount("", cam.ExposureIndex, ""), "")
	list.say("Gain", amount("", cam.GainDB, " dB"), "")
	list.say("Exposure mode", cam.Exposure, "")
	list.say("Shutter", shutterWords(cam.ShutterS), "")
	list.say("Shutter angle", amount("", cam.ShutterAngleDeg, "°"), "")
	list.say("Iris", joined(", ", amount("f/", cam.IrisF, ""), amount("T", cam.IrisT, "")), "")
	list.say("ND", amount("", cam.NDStops, " stops"), "")
	list.say("White balance", amount("", cam.WhiteBalanceK, " K"), amount("tint ", cam.Tint, prefixed(" ", cam.TintUnit)))
	if v := cam.CaptureFPS; v != nil && curve.Round(float64(*v), 2) != curve.Round(float64(c.FrameRate), 2) {
		list.say("Captured at", amount("", v, " fps"), "")
	}
	list.say("Gamut", cam.Gamut, "")
	if cam.Timecode != "" && cam.Timecode != c.Timecode {
		list.say("Timecode", cam.Timecode, "the camera's own")
	}
	if cam.Looks != nil {
		list.say("Look", lookWords(cam.Looks), "carried along, not applied to the recording")
	}
	list.say("Changed while recording", strings.Join(cam.Changes, "; "), "")
	return list
}

// amount writes a number between words, "" where it is not known.
func amount[T ~float64](before string, v *T, after string) string {
	if v == nil || !curve.Finite(*v) {
		return ""
	}
	return before + text.Plain(*v) + after
}

func prefixed(before, words string) string {
	if words == "" {
		return ""
	}
	return before + words
}

// lookWords writes a colour decision list in the order of the standard.
func lookWords(l *metadata.CDL) string {
	three := func(name string, v [3]metadata.Setting) string {
		return name + " " + text.Plain(v[0]) + " " + text.Plain(v[1]) + " " + text.Plain(v[2])
	}
	return three("slope", l.Slope) + ", " + three("offset", l.Offset) + ", " + three("power", l.Power) +
		", saturation " + text.Plain(l.Saturation)
}

// shutterWords writes an exposure time as photographers do: "1/50 s"; "" where it is not known.
func shutterWords(s *curve.Seconds) string {
	switch {
	case s == nil || !curve.Finite(*s) || *s <= 0:
		return ""
	case *s >= 0.5:
		return text.Plain(curve.Round(*s, 2)) + " s"
	}
	return "1/" + text.Plain(curve.Round(1/float64(*s), 1)) + " s"
}
