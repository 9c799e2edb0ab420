package metadata

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"stopledger/curve"
)

// withTags adds the tags that FFmpeg gave to the keys read here; a name read here is not taken
// twice.
func withTags(keys []key, tags map[string]string) []key {
	have := map[string]bool{}
	for _, k := range keys {
		have[k.name] = true
	}
	for _, tag := range slices.Sorted(maps.Keys(tags)) {
		if name := strings.ToLower(tag); !have[name] {
			keys = append(keys, key{name, value{text: tags[tag]}, "tag " + tag})
		}
	}
	return keys
}

// Names of keys whose value names the curve.
const (
	keyCustomGamma = "com.apple.proapps.customgamma"
	keySxSGamma    = "com.arri.camera.colorgammasxs"
	keyClipXML     = "com.panasonic.semi-pro.metadata.xml"
	keyScience     = "com.blackmagic-design.camera.colorscience"
)

// spokenKeys hold a gamma by its name.
var spokenKeys = []string{"com.atomos.hdr.gamma", "com.atomos.raw.intermediate_oetf"}

// fromKeys takes settings and curve from the container's keys. Settings come first: what a curve
// key means may depend on the camera's model.
func (n *notes) fromKeys(keys []key) {
	for _, k := range keys {
		if k.name == keyClipXML {
			n.fromDocument(document{OriginKey, k.where, []byte(k.value.text)})
		}
	}
	for _, k := range keys {
		if !n.setting(k) {
			n.unknownf("%s: %s", k.where, k.value.text)
		}
	}
	for _, k := range keys {
		switch {
		case k.name == keyCustomGamma:
			n.claim(customGamma(k.value.text).withScience(find(keys, keyScience)), OriginKey, k.where, k.value.text)
		case k.name == keySxSGamma:
			n.claim(sxsGamma(k.value.text, n.camera.Model), OriginKey, k.where, k.value.text)
		case slices.Contains(spokenKeys, k.name):
			n.claim(spoken(k.value.text), OriginKey, k.where, k.value.text)
		}
	}
}

func find(keys []key, name string) string {
	for _, k := range keys {
		if k.name == name {
			return k.value.text
		}
	}
	return ""
}

// customGamma reads the key of that name and the logs box. Strings are matched whole: one of
// them holds the tail of another.
func customGamma(s string) meaning {
	name := strings.ToLower(strings.TrimSpace(s))
	switch {
	case name == "com.apple.rec2020.apple-log":
		return curveOf("Apple Log", GradeThirdParty)
	case name == "com.apple.apple-wide-gamut.apple-log":
		return openLog("Apple Log 2")
	case strings.HasPrefix(name, "com.blackmagic-design.") && strings.HasSuffix(name, ".filmlog"):
		return openLog("Film", filmGen5)
	}
	return notUnderstood
}

const filmGen5 = "Film Gen 5"

// withScience decides an open film curve by its generation. Only the fifth has a published formula;
// how files spell it was not seen, so any lone 5 is taken for it.
func (m meaning) withScience(science string) meaning {
	if m.kind != KindOpen || !slices.Contains(m.among, filmGen5) || science == "" {
		return m
	}
	word := strings.TrimSuffix(strings.TrimPrefix(curve.Fold(science), "gen"), "film")
	if word == "5" || curve.Fold(science) == curve.Fold(filmGen5) {
		return curveOf(filmGen5, GradeMemory).because("colour science " + science)
	}
	return openLog("Film, colour science " + science)
}

// sxsGamma reads the key ColorGammaSxS. LOG-C does not say which generation: the model does.
func sxsGamma(s, model string) meaning {
	word := curve.Fold(s)
	switch {
	case strings.HasPrefix(word, "logc3"):
		return curveOf("LogC3", GradeThirdParty)
	case strings.HasPrefix(word, "logc4"):
		return curveOf("LogC4", GradeThirdParty)
	case strings.HasPrefix(word, "logc"):
		return logCOf(model)
	case strings.HasPrefix(word, "rec709"):
		return displayGamma("REC-709")
	}
	return notUnderstood
}

// logCOf tells LogC4 from LogC3 by the camera: ALEXA 35 User Manual, section 9.4, has LogC4; that
// the 265 has it too, and the list of older models, are from memory.
func logCOf(model string) meaning {
	word := curve.Fold(model)
	for _, m := range []string{"alexa35", "alexa265"} {
		if strings.Contains(word, m) {
			return curveOf("LogC4", GradeThirdParty).because("LOG-C of " + model)
		}
	}
	for _, m := range []string{"alexa", "amira"} {
		if strings.Contains(word, m) {
			return curveOf("LogC3", GradeThirdParty).because("LOG-C of " + model)
		}
	}
	return spokenGammas["logc"]
}

// setting takes a camera setting from a key; false says that its value is not understood.
func (n *notes) setting(k key) bool {
	rule, ok := settings[k.name]
	if !ok {
		return true
	}
	var c Camera
	if !rule(&c, k.value) {
		return false
	}
	n.camera.fill(c)
	return true
}

// num returns the number of a value: typed, or the first number in its text, so that "179.2deg",
// "5600K", "F1.0" and "ND4" are read.
func (v value) num() (float64, bool) {
	if v.numeric {
		return v.number, true
	}
	from := strings.IndexAny(v.text, "0123456789")
	if from < 0 {
		return 0, false
	}
	if from > 0 && v.text[from-1] == '-' {
		from--
	}
	to := from + 1
	for to < len(v.text) && strings.IndexByte("0123456789.", v.text[to]) >= 0 {
		to++
	}
	f, err := strconv.ParseFloat(strings.TrimRight(v.text[from:to], "."), 64)
	return f, err == nil && !math.IsInf(f, 0)
}
