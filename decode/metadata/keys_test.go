package metadata

import (
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

func fromTags(tags map[string]string) Record {
	return interpret(&container.Found{}, nil, Hints{Tags: tags})
}

// Values of curve keys as third parties quote them.
func TestCurveKeys(t *testing.T) {
	const (
		gamma  = "com.arri.camera.ColorGammaSxS"
		model  = "com.arri.camera.CameraModel"
		custom = "com.apple.proapps.customgamma"
	)
	for _, c := range []struct {
		tags  map[string]string
		curve string
		kind  Kind
	}{
		{map[string]string{gamma: "LOG-C", model: "ALEXA 35"}, "LogC4", KindCurve},
		{map[string]string{gamma: "LOG-C", model: "ALEXA Mini LF"}, "LogC3", KindCurve},
		{map[string]string{gamma: "LOG-C", model: "AMIRA"}, "LogC3", KindCurve},
		{map[string]string{strings.ToLower(gamma): "LOG-C", strings.ToLower(model): "ALEXA"}, "LogC3", KindCurve},
		{map[string]string{gamma: "LOG-C (SUP 3)", model: "ALEXA"}, "LogC3", KindCurve},
		{map[string]string{gamma: "LOG-C"}, "", KindOpen},
		{map[string]string{gamma: "LOG-C", model: "another"}, "", KindOpen},
		{map[string]string{gamma: "REC-709", model: "ALEXA"}, "", KindDisplay},
		{map[string]string{gamma: "DCI-P3"}, "", KindUnknown},
		{map[string]string{custom: "com.apple.rec2020.apple-log"}, "Apple Log", KindCurve},
		{map[string]string{custom: "com.apple.apple-wide-gamut.apple-log"}, "", KindOpen},
		{map[string]string{custom: "com.blackmagic-design.camera.filmlog"}, "", KindOpen},
		{map[string]string{custom: "com.blackmagic-design.pocket6k.filmlog",
			"com.blackmagic-design.camera.colorScience": "Gen 5"}, "Film Gen 5", KindCurve},
		{map[string]string{custom: "com.blackmagic-design.pocket6k.filmlog",
			"com.blackmagic-design.camera.colorScience": "5"}, "Film Gen 5", KindCurve},
		{map[string]string{custom: "com.blackmagic-design.pocket6k.filmlog",
			"com.blackmagic-design.camera.colorScience": "Gen 4"}, "", KindOpen},
		{map[string]string{custom: "com.example.somelog"}, "", KindUnknown},
		{map[string]string{"com.atomos.hdr.gamma": "VLog"}, "V-Log", KindCurve},
		{map[string]string{"com.atomos.hdr.gamma": "SLog3"}, "S-Log3", KindCurve},
		{map[string]string{"com.atomos.hdr.gamma": "Rec709"}, "", KindDisplay},
		{map[string]string{"com.atomos.raw.intermediate_oetf": "NLog"}, "N-Log", KindCurve},
		{map[string]string{"com.atomos.hdr.gamma": "Something"}, "", KindUnknown},
	} {
		r := fromTags(c.tags)
		if len(r.Claims) != 1 || r.Claims[0].Curve != c.curve || r.Claims[0].Kind != c.kind {
			t.Errorf("%v: %+v, want %q, %s", c.tags, r.Claims, c.curve, c.kind)
		}
		if (c.kind == KindUnknown) != (len(r.Unknown) == 1) {
			t.Errorf("%v: unknown %q", c.tags, r.Unknown)
		}
	}
}

// The exposure index that LogC3 depends on goes with the claim.
func TestExposureIndexOfLogC3(t *testing.T) {
	tags := map[string]string{"com.arri.camera.ColorGammaSxS": "LOG-C", "com.arri.camera.CameraModel": "ALEXA",
		"com.arri.camera.ExposureIndexAsa": "1600"}
	r := fromTags(tags)
	if r.Curve == nil || r.Curve.EI == nil || *r.Curve.EI != 1600 {
		t.Errorf("%+v", r.Curve)
	}
	tags["com.arri.camera.CameraModel"] = "ALEXA 35"
	if r := fromTags(tags); r.Curve == nil || r.Curve.EI != nil {
		t.Errorf("LogC4 with an exposure index: %+v", r.Curve)
	}
}

// Texts as ExifTool's notes (QuickTime.pm) and other readers quote them.
func TestSettingKeys(t *testing.T) {
	c := fromTags(map[string]string{
		"org.smpte.rdd18.camera.isosensitivity":                   "800",
		"org.smpte.rdd18.camera.shutterspeed_angle":               "179.2deg",
		"org.smpte.rdd18.camera.neutraldensityfilterwheelsetting": "ND4",
		"org.smpte.rdd18.camera.whitebalance":                     "4300K",
		"org.smpte.rdd18.lens.irisfnumber":                        "F1.0",
		"com.arri.camera.NdFilterDensity":                         "0.6",
		"com.arri.camera.SensorFps":                               "24000",
		"com.apple.proapps.exif.{Exif}.ShutterSpeedValue":         "5.64385619",
		"com.apple.proapps.exif.{Exif}.ExposureIndex":             "640",
	}).Camera
	near(t, "ISO", c.ISO, 800, 0)
	near(t, "angle", c.ShutterAngleDeg, 179.2, 0)
	near(t, "ND", c.NDStops, 2, 0.01) // both say two stops; a density of 0.6 is 1.993
	near(t, "white balance", c.WhiteBalanceK, 4300, 0)
	near(t, "iris", c.IrisF, 1, 0)
	near(t, "rate", c.CaptureFPS, 24, 0)
	near(t, "EI", c.ExposureIndex, 640, 0)
	near(t, "shutter", c.ShutterS, 1.0/50, 1e-9)
}

// Optical density: ten to the density is the factor, two to the stops too.
func TestDensity(t *testing.T) {
	for density, stops := range map[string]float64{"0": 0, "0.3": 0.99658, "1.2": 3.98631} {
		near(t, density, fromTags(map[string]string{"com.arri.camera.NdFilterDensity": density}).Camera.NDStops, stops, 5e-6)
	}
}

// A number in a unit that was not foreseen is told, not believed.
func TestSettingsOutOfRange(t *testing.T) {
	r := fromTags(map[string]string{"com.arri.camera.ShutterAngle": "172800",
		"com.arri.camera.WhiteBalanceKelvin": "daylight"})
	if r.Camera != nil || len(r.Unknown) != 2 {
		t.Errorf("%+v, %q", r.Camera, r.Unknown)
	}
}

func TestNumbersInTexts(t *testing.T) {
	for text, want := range map[string]float64{"179.2deg": 179.2, "ND16": 16, "-8.5": -8.5, "T 2.8": 2.8, "25p": 25,
		"1.": 1, "0": 0} {
		if v, ok := (container.Value{Text: text}).Num(); !ok || v != want {
			t.Errorf("%q: %g, %v", text, v, ok)
		}
	}
	for _, text := range []string{"", "none", "1.2.3", "-", "."} {
		if v, ok := (container.Value{Text: text}).Num(); ok {
			t.Errorf("%q: %g", text, v)
		}
	}
}

// What the file itself said is not said again by FFmpeg's copy of it.
func TestTagsDoNotRepeatKeys(t *testing.T) {
	p := build.Clip(build.Keys(build.TextKey("com.apple.proapps.customgamma", "com.apple.rec2020.apple-log")))
	r := readBytes(p, Hints{Tags: map[string]string{"com.apple.proapps.customgamma": "com.apple.rec2020.apple-log"}})
	if len(r.Claims) != 1 || r.Claims[0].Where != "moov key com.apple.proapps.customgamma" {
		t.Errorf("%+v", r.Claims)
	}
}
