package metadata

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
	"stopledger/testdata/footage"
)

// A camera's own sidecar. Its settings were read by eye out of the file: gamma s-cinetone,
// primaries rec709, 25p, timecode 19:57:30:17, no serial number (all ones).
func TestRealSidecar(t *testing.T) {
	xml, err := os.ReadFile(footage.Path(t, "sidecars/C0001M01.XML"))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "C0001.MP4")
	write(t, path, build.Clip())
	write(t, filepath.Join(dir, "C0001M01.XML"), xml)
	r, err := Read(path, Hints{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Curve != nil || len(r.Claims) != 1 || len(r.Conflicts)+len(r.Unknown)+len(r.Problems) > 0 {
		t.Fatalf("%+v", r)
	}
	if c := r.Claims[0]; c.Kind != KindDisplay || c.Verbatim != "s-cinetone" || c.Origin != OriginSidecar ||
		c.Where != "C0001M01.XML, CaptureGammaEquation" || c.Note != "S-Cinetone: not a log curve" {
		t.Errorf("%+v", c)
	}
	c := r.Camera
	near(t, "rate", c.CaptureFPS, 25, 0)
	if c.Make != "Sony" || c.Model != "ILME-FX3" || c.Serial != "" || c.Timecode != "19:57:30:17" ||
		c.Gamut != "BT.709" || c.Coding != "BT.709" {
		t.Errorf("%+v", c)
	}
}

// The two entries of that file's timecode table are 4379 frames apart at 25 frames a second, as
// its own frameCount says.
func TestLTC(t *testing.T) {
	for _, c := range []struct{ digits, want string }{
		{"17305719", "19:57:30:17"},
		{"21250020", "20:00:25:21"},
		{"52596317", ""},
		{"52595317", "17:53:59;12"},
		{"92595317", "17:53:59:12"},
		{"1A305719", ""},
		{"173057", ""},
		{"1730571G", ""},
		{"", ""},
	} {
		if got := ltc(c.digits); got != c.want {
			t.Errorf("%q: got %q, want %q", c.digits, got, c.want)
		}
	}
	frames := func(tc string) int {
		var h, m, s, f int
		fmt.Sscanf(tc, "%d:%d:%d:%d", &h, &m, &s, &f)
		return ((h*60+m)*60+s)*25 + f
	}
	if d := frames(ltc("21250020")) - frames(ltc("17305719")); d != 4379 {
		t.Errorf("%d frames apart", d)
	}
}

// Values of CaptureGammaEquation: one of a camera's file, the others from several independent reports.
func TestNonRealTimeGammas(t *testing.T) {
	for word, want := range map[string]string{
		"s-log3-cine": "S-Log3", "s-log3": "S-Log3", "S-Log2": "S-Log2", "s_log3": "S-Log3", "hlg": "HLG",
		"hlg1": "HLG", "hlg2": "HLG", "hlg3": "HLG", "rec2100-hlg": "HLG", "N-Log": "N-Log", "LogC4": "LogC4",
		"s-cinetone": "", "rec709": "", "rec709-xvycc": "", "rec709-xvycc-cine": "", "still": "", "itu709": "",
		"itu709-800": "", "cine1": "", "cine4": "",
	} {
		n := &notes{}
		n.fromDocument(document{OriginClipXML,
			container.Document{Where: "meta box", Data: build.NonRealTime(word, "s-gamut")}})
		r := n.record()
		switch {
		case len(r.Unknown) > 0, len(r.Claims) != 1:
			t.Errorf("%s: unknown %q, claims %+v", word, r.Unknown, r.Claims)
		case (r.Curve == nil) != (want == ""), r.Curve != nil && r.Curve.Curve != want:
			t.Errorf("%s: %+v, want %q", word, r.Curve, want)
		}
	}
}

func TestNonRealTimeSettings(t *testing.T) {
	n := &notes{}
	n.fromDocument(document{OriginClipXML,
		container.Document{Where: "meta box", Data: build.NonRealTime("mystery-log", "mystery-gamut")}})
	c := n.camera
	near(t, "capture rate", c.CaptureFPS, 59.94, 0)
	if c.Make != "Maker" || c.Model != "ILME-T1" || c.Serial != "0012" || c.Lens != "FE 35" || c.Gamut != "" {
		t.Errorf("%+v", c)
	}
	want := []string{"meta box, CaptureGammaEquation: mystery-log", "meta box, CaptureColorPrimaries: mystery-gamut"}
	if strings.Join(n.unknown, "|") != strings.Join(want, "|") || n.record().Curve != nil {
		t.Errorf("unknown %q", n.unknown)
	}
}

// clipMain is clip metadata of the second kind; paths and values as third parties quote them.
func clipMain(gamma, gamut string) string {
	return fmt.Sprintf(`<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<ClipMain xmlns="urn:schemas-Professional-Plug-in:Semi-Pro:ClipMetadata:v1.0"><ClipContent>
 <EssenceList><Video><Codec BitRate="200">H264</Codec><BitDepth>10</BitDepth><FrameRate>25p</FrameRate>
  <StartTimecode>01:02:03:04</StartTimecode></Video></EssenceList>
 <ClipMetadata><Device><Manufacturer>Maker</Manufacturer><ModelName>DC-T6</ModelName></Device></ClipMetadata>
</ClipContent><UserArea>
 <AcquisitionMetadata xmlns="urn:schemas-Professional-Plug-in:P2:CameraMetadata:v1.2"><CameraUnitMetadata>
  <ISOSensitivity>2500</ISOSensitivity><WhiteBalanceColorTemperature>5600K</WhiteBalanceColorTemperature>
  <Gamma><CaptureGamma>%s</CaptureGamma></Gamma><Gamut><CaptureGamut>%s</CaptureGamut></Gamut>
 </CameraUnitMetadata></AcquisitionMetadata></UserArea></ClipMain>`, gamma, gamut)
}

func TestClipMain(t *testing.T) {
	for _, c := range []struct {
		gamma string
		curve string
		kind  Kind
	}{
		{"V-Log", "V-Log", KindCurve}, {"V-LogL", "V-Log", KindCurve}, {"CINELIKE_D", "", KindDisplay},
		{"CINELIKE_D2", "", KindDisplay}, {"CINELIKE_V", "", KindDisplay}, {"NATURAL", "", KindDisplay},
		{"NEW_LOOK", "", KindUnknown},
	} {
		p := build.Clip(build.Keys(build.TextKey("com.panasonic.Semi-Pro.metadata.xml", clipMain(c.gamma, "V-Gamut"))))
		r := readBytes(p, Hints{})
		if len(r.Claims) != 1 || r.Claims[0].Curve != c.curve || r.Claims[0].Kind != c.kind ||
			r.Claims[0].Origin != OriginKey {
			t.Errorf("%s: %+v, %q", c.gamma, r.Claims, r.Problems)
			continue
		}
		near(t, "ISO", r.Camera.ISO, 2500, 0)
		near(t, "white balance", r.Camera.WhiteBalanceK, 5600, 0)
		if r.Camera.Model != "DC-T6" || r.Camera.Make != "Maker" || r.Camera.Gamut != "V-Gamut" ||
			r.Camera.Timecode != "01:02:03:04" {
			t.Errorf("%+v", r.Camera)
		}
	}
}

func write(t testing.TB, path string, p []byte) {
	t.Helper()
	if err := os.WriteFile(path, p, 0o644); err != nil {
		t.Fatal(err)
	}
}
