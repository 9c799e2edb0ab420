package metadata

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

func readBytes(p []byte, hints Hints) Record { return gather(sourceOf(p), "").interpret(hints) }

func TestRTMDTrack(t *testing.T) {
	r := readBytes(rtmdClip([][]byte{workedSample(t), workedSample(t), workedSample(t), workedSample(t)}), Hints{})
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
		samples = append(samples, frameSample(cameraSets(slog3Cine, iso, iris)))
	}
	c := readBytes(rtmdClip(samples), Hints{}).Camera
	near(t, "ISO", c.ISO, 800, 0)
	want := []string{"ISO 800 at first, ISO 800 at last, from ISO 800 to ISO 3200 in between",
		"iris F16.0 at first, iris F11.3 at last"}
	if !slices.Equal(c.Changes, want) || c.SetsHeld != 500 || c.SetsRead != framesLookedAt {
		t.Errorf("%d of %d: %q", c.SetsRead, c.SetsHeld, c.Changes)
	}
}

// The gamma of a clip is constant; one that changes is a conflict, not a choice.
func TestGammaThatChanges(t *testing.T) {
	const slog2 = "060E2B34 04010106 0E060401 01010508"
	r := readBytes(rtmdClip([][]byte{
		frameSample(cameraSets(slog3Cine, 800, 0x8000)), frameSample(cameraSets(slog2, 800, 0x8000))}), Hints{})
	if r.Curve != nil || len(r.Conflicts) != 1 {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}

func TestDamagedSampleAmongGoodOnes(t *testing.T) {
	good := frameSample(cameraSets(slog3Cine, 800, 0x8000))
	r := readBytes(rtmdClip([][]byte{make([]byte, 27), good, good}), Hints{})
	if r.Curve == nil || r.Camera.SetsRead != 2 || len(r.Problems) != 1 || !strings.Contains(r.Problems[0], "sample 1") {
		t.Errorf("%+v, %q", r.Curve, r.Problems)
	}
}

func TestClipXMLInMetaBox(t *testing.T) {
	for name, p := range map[string][]byte{
		"behind moov":     join(clip(), nrtmMeta(nonRealTime("s-log3-cine", "s-gamut3-cine"))),
		"before moov":     join(ftyp, nrtmMeta(nonRealTime("s-log3-cine", "s-gamut3-cine")), mp4("moov", movieHeader())),
		"padded by zeros": join(clip(), nrtmMeta(join(nonRealTime("s-log3-cine", "s-gamut3-cine"), make([]byte, 9)))),
	} {
		r := readBytes(p, Hints{})
		if r.Curve == nil || r.Curve.Curve != "S-Log3" || r.Curve.Origin != OriginClipXML || r.Camera.Gamut != "S-Gamut3.Cine" {
			t.Errorf("%s: %+v, %q", name, r.Curve, r.Problems)
		}
	}
	other := join(clip(), full("meta", handlerBox("mdir"), full("xml ", nonRealTime("s-log3-cine", ""))))
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
			"logs box": clip(visualTrack(mp4("fiel", u16(0x0100)), mp4("logs", []byte(c.text)))),
			"moov key": clip(mdtaMeta(textKey(keyCustomGamma, c.text))),
		} {
			r := readBytes(p, Hints{})
			if len(r.Claims) != 1 || r.Claims[0].Curve != c.curve || r.Claims[0].Kind != c.kind || r.Claims[0].Origin != OriginKey {
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
	samples := [][]byte{frameSample(cameraSets(slog3Cine, 800, 0x8000))}
	r := readBytes(rtmdClip(samples, mdtaMeta(textKey(keyCustomGamma, "com.apple.rec2020.apple-log"))), Hints{})
	if r.Curve != nil || len(r.Conflicts) != 1 || !strings.Contains(r.Conflicts[0], "S-Log3") ||
		!strings.Contains(r.Conflicts[0], "Apple Log") {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}

func TestSettingsKeepTheirOrderOfTrust(t *testing.T) {
	samples := [][]byte{frameSample(cameraSets(slog3Cine, 800, 0x8000))}
	p := join(rtmdClip(samples, mdtaMeta(
		textKey("org.smpte.rdd18.camera.isosensitivity", "400"), textKey("com.apple.quicktime.model", "key"),
		textKey("com.apple.quicktime.software", "any"))), nrtmMeta(nonRealTime("s-log3", "s-gamut3")))
	c := readBytes(p, Hints{Tags: map[string]string{"make": "tag", "COM.APPLE.QUICKTIME.MODEL": "tag"}}).Camera
	near(t, "ISO", c.ISO, 800, 0)
	if c.Model != "ILME-T1" || c.Make != "Maker" || c.Gamut != "S-Gamut3" {
		t.Errorf("%+v", c)
	}
}

// Files that end inside any box give what came before and never an error of their own.
func TestTruncatedFiles(t *testing.T) {
	samples := [][]byte{workedSample(t), workedSample(t)}
	p := join(rtmdClip(samples, mdtaMeta(textKey(keyCustomGamma, "com.apple.rec2020.apple-log"))),
		nrtmMeta(nonRealTime("s-log3", "")))
	for n := range p {
		readBytes(p[:n], Hints{})
	}
	if r := readBytes(p[:200], Hints{}); r.Curve != nil || r.Camera != nil {
		t.Errorf("%+v", r)
	}
}
