package metadata

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

// found is what a clip of these bytes holds.
func found(p []byte) *container.Found {
	in, _ := container.Read(bytes.NewReader(p), int64(len(p)), "mov") // bytes in memory have no faults
	return in
}

func readBytes(p []byte, hints Hints) Record { return interpret(found(p), nil, hints) }

func TestRTMDTrack(t *testing.T) {
	r := readBytes(build.RTMDClip([][]byte{build.WorkedSample(), build.WorkedSample(), build.WorkedSample(),
		build.WorkedSample()}), Hints{})
	if len(r.Problems)+len(r.Unknown)+len(r.Conflicts)+len(r.TagsDiffer) > 0 {
		t.Fatalf("%q %q %q", r.Problems, r.Unknown, r.Conflicts)
	}
	want := Claim{Curve: "S-Log3", Kind: KindCurve, Origin: OriginAcquisition, Grade: GradeThirdParty,
		Verbatim: "060E2B34 04010106 0E060401 01010605", Where: "rtmd track, item 3210", Note: "S-Gamut3.Cine/S-Log3"}
	if got := *r.Curve; fmt.Sprintf("%+v", got) != fmt.Sprintf("%+v", want) || len(r.Claims) != 1 {
		t.Errorf("got %+v, want %+v", got, want)
	}
	c := r.Camera
	near(t, "ISO", c.ISO, 800, 0)
	if c.SetsHeld != 4 || c.SetsRead != 4 || len(c.Changes) != 0 {
		t.Errorf("%+v", c)
	}
}

// A change in the middle of a long clip is seen; the settings told are the first frame's.
func TestChangesAlongTheTrack(t *testing.T) {
	var samples [][]byte
	for i := range 500 {
		iso, iris := 800, 0x8000
		if i >= 200 && i < 260 {
			iso = 3200
		}
		if i >= 250 {
			iris = 0x9000
		}
		samples = append(samples, build.FrameSample(build.CameraSets(build.SLog3Cine, iso, iris)))
	}
	c := readBytes(build.RTMDClip(samples), Hints{}).Camera
	near(t, "ISO", c.ISO, 800, 0)
	want := []string{"ISO 800 at first, ISO 800 at last, from ISO 800 to ISO 3200 in between",
		"iris F16.0 at first, iris F11.3 at last"}
	if !slices.Equal(c.Changes, want) || c.SetsHeld != 500 || c.SetsRead != 65 {
		t.Errorf("%d of %d: %q", c.SetsRead, c.SetsHeld, c.Changes)
	}
}

// The gamma of a clip is constant; one that changes is a conflict, not a choice.
func TestGammaThatChanges(t *testing.T) {
	const slog2 = "060E2B34 04010106 0E060401 01010508"
	r := readBytes(build.RTMDClip([][]byte{
		build.FrameSample(build.CameraSets(build.SLog3Cine, 800, 0x8000)), build.FrameSample(build.CameraSets(slog2, 800,
			0x8000))}), Hints{})
	if r.Curve != nil || len(r.Conflicts) != 1 {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}

func TestDamagedSampleAmongGoodOnes(t *testing.T) {
	good := build.FrameSample(build.CameraSets(build.SLog3Cine, 800, 0x8000))
	r := readBytes(build.RTMDClip([][]byte{make([]byte, 27), good, good}), Hints{})
	if r.Curve == nil || r.Camera.SetsRead != 2 || len(r.Problems) != 1 || !strings.Contains(r.Problems[0], "sample 1") {
		t.Errorf("%+v, %q", r.Curve, r.Problems)
	}
}

func TestClipXMLInMetaBox(t *testing.T) {
	for name, p := range map[string][]byte{
		"behind moov": build.Join(build.Clip(), build.ClipXML(build.NonRealTime("s-log3-cine", "s-gamut3-cine"))),
		"before moov": build.Join(build.FileType, build.ClipXML(build.NonRealTime("s-log3-cine", "s-gamut3-cine")),
			build.MP4("moov", build.MovieHeader())),
		"padded by zeros": build.Join(build.Clip(),
			build.ClipXML(build.Join(build.NonRealTime("s-log3-cine", "s-gamut3-cine"), make([]byte, 9)))),
	} {
		r := readBytes(p, Hints{})
		if r.Curve == nil || r.Curve.Curve != "S-Log3" || r.Curve.Origin != OriginClipXML ||
			r.Camera.Gamut != "S-Gamut3.Cine" {
			t.Errorf("%s: %+v, %q", name, r.Curve, r.Problems)
		}
	}
	other := build.Join(build.Clip(), build.Full("meta", build.Handler("mdir"),
		build.Full("xml ", build.NonRealTime("s-log3-cine", ""))))
	if r := readBytes(other, Hints{}); r.Curve != nil {
		t.Errorf("a meta box of another handler is read: %+v", r.Curve)
	}
}

// The logs box and the key of the same meaning: third party, several, citing the maker's constants.
// One string ends like the other and is another curve.
func TestLogsBoxAndCustomGamma(t *testing.T) {
	for _, c := range []struct {
		text  string
		curve string
		kind  Kind
	}{
		{"com.apple.rec2020.apple-log", "Apple Log", KindCurve},
		{"com.apple.rec2020.apple-log\x00", "Apple Log", KindCurve},
		{"com.apple.apple-wide-gamut.apple-log", "", KindOpen},
		{"com.apple.rec2020.apple-log-9", "", KindUnknown},
	} {
		for where, p := range map[string][]byte{
			"logs box": build.Clip(build.VisualTrack(build.MP4("fiel", build.U16(0x0100)), build.MP4("logs", []byte(c.text)))),
			"moov key": build.Clip(build.Keys(build.TextKey(keyCustomGamma, c.text))),
		} {
			r := readBytes(p, Hints{})
			if len(r.Claims) != 1 || r.Claims[0].Curve != c.curve || r.Claims[0].Kind != c.kind ||
				r.Claims[0].Origin != OriginKey {
				t.Errorf("%s %q: %+v", where, c.text, r.Claims)
				continue
			}
			if !strings.HasPrefix(r.Claims[0].Where, where) {
				t.Errorf("%q is said to be at %q", c.text, r.Claims[0].Where)
			}
			if (c.kind == KindUnknown) != (len(r.Unknown) == 1) {
				t.Errorf("%q: unknown %q", c.text, r.Unknown)
			}
		}
	}
}

// Level 1 against level 3 inside one file: both are told and none is chosen.
func TestTrackAgainstKey(t *testing.T) {
	samples := [][]byte{build.FrameSample(build.CameraSets(build.SLog3Cine, 800, 0x8000))}
	r := readBytes(build.RTMDClip(samples, build.Keys(build.TextKey(keyCustomGamma, "com.apple.rec2020.apple-log"))),
		Hints{})
	if r.Curve != nil || len(r.Conflicts) != 1 || !strings.Contains(r.Conflicts[0], "S-Log3") ||
		!strings.Contains(r.Conflicts[0], "Apple Log") {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}

func TestSettingsKeepTheirOrderOfTrust(t *testing.T) {
	samples := [][]byte{build.FrameSample(build.CameraSets(build.SLog3Cine, 800, 0x8000))}
	p := build.Join(build.RTMDClip(samples, build.Keys(
		build.TextKey("org.smpte.rdd18.camera.isosensitivity", "400"), build.TextKey("com.apple.quicktime.model", "key"),
		build.TextKey("com.apple.quicktime.software", "any"))), build.ClipXML(build.NonRealTime("s-log3", "s-gamut3")))
	c := readBytes(p, Hints{Tags: map[string]string{"make": "tag", "COM.APPLE.QUICKTIME.MODEL": "tag"}}).Camera
	near(t, "ISO", c.ISO, 800, 0)
	if c.Model != "ILME-T1" || c.Make != "Maker" || c.Gamut != "S-Gamut3" {
		t.Errorf("%+v", c)
	}
}

// Files that end inside any box give what came before and never an error of their own.
func TestTruncatedFiles(t *testing.T) {
	samples := [][]byte{build.WorkedSample(), build.WorkedSample()}
	p := build.Join(build.RTMDClip(samples, build.Keys(build.TextKey(keyCustomGamma, "com.apple.rec2020.apple-log"))),
		build.ClipXML(build.NonRealTime("s-log3", "")))
	for n := range p {
		readBytes(p[:n], Hints{})
	}
	if r := readBytes(p[:200], Hints{}); r.Curve != nil || r.Camera != nil {
		t.Errorf("%+v", r)
	}
}
