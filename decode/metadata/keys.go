package metadata

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata/container"
)

// withTags adds the tags that FFmpeg gave to the keys read here; a name read here is not taken
// twice.
func withTags(keys []container.Key, tags map[string]string) []container.Key {
	have := map[string]bool{}
	for _, k := range keys {
		have[k.Name] = true
	}
	for _, tag := range slices.Sorted(maps.Keys(tags)) {
		if name := strings.ToLower(tag); !have[name] {
			keys = append(keys, container.Key{Name: name, Value: container.Value{Text: tags[tag]}, Where: "tag " + tag})
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

// Names of keys that say when recording began. The first is Apple's, with the zone where it was; the
// second is FFmpeg's name for the movie header's, seconds of UTC since 1904 (ISO/IEC 14496-12, 8.2.2),
// where many cameras write their own time.
const (
	keyRecorded = "com.apple.quicktime.creationdate"
	keyCreated  = "creation_time"
)

// spokenKeys hold a gamma by its name.
var spokenKeys = []string{"com.atomos.hdr.gamma", "com.atomos.raw.intermediate_oetf"}

// fromKeys takes settings and curve from the container's keys. Settings come first: what a curve
// key means may depend on the camera's model.
func (n *notes) fromKeys(keys []container.Key) {
	for _, k := range keys {
		if k.Name == keyClipXML {
			n.fromDocument(document{OriginKey, container.Document{Where: k.Where, Data: []byte(k.Value.Text)}})
		}
	}
	for _, k := range keys {
		if !n.setting(k) {
			n.unknownf("%s: %s", k.Where, k.Value.Text)
		}
	}
	for _, k := range keys {
		switch {
		case k.Name == keyCustomGamma:
			n.claim(customGamma(k.Value.Text).withScience(find(keys, keyScience)), OriginKey, k.Where, k.Value.Text)
		case k.Name == keySxSGamma:
			n.claim(sxsGamma(k.Value.Text, n.camera.Model), OriginKey, k.Where, k.Value.Text)
		case k.Name == keyRecorded:
			n.recorded = cmp.Or(n.recorded, recordedAt(k.Value.Text))
		case k.Name == keyCreated:
			n.created = cmp.Or(n.created, recordedAt(k.Value.Text))
		case slices.Contains(spokenKeys, k.Name):
			n.claim(spoken(k.Value.Text), OriginKey, k.Where, k.Value.Text)
		}
	}
}

func find(keys []container.Key, name string) string {
	for _, k := range keys {
		if k.Name == name {
			return k.Value.Text
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
func (n *notes) setting(k container.Key) bool {
	rule, ok := settings[k.Name]
	if !ok {
		return true
	}
	var c Camera
	if !rule(&c, k.Value) {
		return false
	}
	n.camera.fill(c)
	return true
}
