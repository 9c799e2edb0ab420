package metadata

import (
	"fmt"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

// Public labels of tag 3210: SMPTE metadata registers, Labels.xml (v000000086). That S3, V, C2 and
// C3 are S-Log3, V-Log, Canon Log 2 and 3 is inferred.
func TestPublicGammas(t *testing.T) {
	want := []string{
		1: "", "BT.709", "", "", "", "", "", "", "BT.709", "PQ", "HLG", "", "", "S-Log3", "V-Log",
		"Canon Log 2", "Canon Log 3", "", "",
	}
	for n, curve := range want[1:] {
		l := container.Label(build.Unhex(fmt.Sprintf("060E2B34 0401010D 04010101 01%02X0000", n+1)))
		m := gammaOf(l)
		if m.curve != curve || (curve == "") != (m.kind == KindDisplay) {
			t.Errorf("%02X: got %+v, want %q", n+1, m, curve)
		}
	}
	if len(publicGammas) != len(want)-1 {
		t.Errorf("the register has %d transfer labels, the table %d", len(want)-1, len(publicGammas))
	}
}

// Private labels: MediaInfoLib, File_Mxf.cpp; telemetry-parser, src/sony and src/canon.
func TestPrivateGammas(t *testing.T) {
	for _, c := range []struct {
		value string
		curve string
		kind  Kind
	}{
		{"0E060401 01010104", "", KindDisplay},
		{"0E060401 01010203", "", KindDisplay},
		{"0E060401 01010304", "", KindDisplay},
		{"0E060401 01010305", "", KindUnknown},
		{"0E060401 01010401", "", KindOpen},
		{"0E060401 01010501", "", KindOpen},
		{"0E060401 01010502", "", KindOpen},
		{"0E060401 01010504", "", KindDisplay},
		{"0E060401 01010506", "", KindOpen},
		{"0E060401 01010508", "S-Log2", KindCurve},
		{"0E060401 01010604", "S-Log3", KindCurve},
		{"0E060401 01010605", "S-Log3", KindCurve},
		{"0E060401 01010607", "PQ", KindCurve},
		{"0E060401 01010608", "HLG", KindCurve},
		{"0E060401 01010609", "", KindUnknown},
		{"0E060401 01010705", "", KindDisplay},
		{"0E060401 01010704", "", KindDisplay},
		{"0E150001 01000000", "Canon Log", KindCurve},
		{"0E150001 02000000", "Canon Log 2", KindCurve},
		{"0E150001 07000000", "Canon Log 3", KindCurve},
		{"0E150001 09000000", "", KindUnknown},
		{"0E170000 01000000", "", KindUnknown},
	} {
		l := container.Label(build.Unhex("060E2B34 04010106" + c.value))
		if m := gammaOf(l); m.curve != c.curve || m.kind != c.kind {
			t.Errorf("%s: got %+v, want %q, %s", c.value, m, c.curve, c.kind)
		}
	}
}

// Public primaries and coding equations: SMPTE metadata registers, Labels.xml.
func TestGamutsAndCodings(t *testing.T) {
	gamuts := []string{1: "SMPTE 170M", "PAL", "BT.709", "BT.2020", "DCDM", "P3-D65", "ACES", "cinema mezzanine",
		"P3-D60", "P3-DCI", "S-Gamut3", "S-Gamut3.Cine", "V-Gamut", "Cinema Gamut", ""}
	for n, want := range gamuts {
		l := container.Label(build.Unhex(fmt.Sprintf("060E2B34 0401010D 04010101 03%02X0000", n)))
		if got := gamutOf(l); got != want {
			t.Errorf("primaries %02X: %q, want %q", n, got, want)
		}
	}
	codings := []string{"", "BT.601", "BT.709", "SMPTE 240M", "YCgCo", "GBR", "BT.2020", "ICtCp", ""}
	for n, want := range codings {
		l := container.Label(build.Unhex(fmt.Sprintf("060E2B34 0401010D 04010101 02%02X0000", n)))
		if got := codingOf(l); got != want {
			t.Errorf("coding %02X: %q, want %q", n, got, want)
		}
	}
}

// Byte 14 of S-Gamut3.Cine is 03, which in a public label is BT.709. Whichever of the eight value
// bytes differs, a label is another one; whichever version the register has, it is the same.
func TestEveryValueByteIsCompared(t *testing.T) {
	for _, text := range []string{build.SGamut3Cine, "060E2B34 04010106 04010101 030B0000"} {
		good := container.Label(build.Unhex(text))
		name := gamutOf(good)
		if name == "BT.709" || name == "" {
			t.Fatalf("%s is %q", text, name)
		}
		for i := range good {
			bad := good
			bad[i] ^= 0x40
			if got := gamutOf(bad); (got == name) != (i == 7) {
				t.Errorf("%s with byte %d changed is %q", text, i+1, got)
			}
		}
	}
	for _, text := range []string{build.SLog3Cine, build.CameraLogS3, build.CameraLogV} {
		good := container.Label(build.Unhex(text))
		for i := range good {
			bad := good
			bad[i] ^= 0x40
			if got := gammaOf(bad).curve; (got == gammaOf(good).curve) != (i == 7) {
				t.Errorf("%s with byte %d changed is %q", text, i+1, got)
			}
		}
	}
}

func TestEveryCurveNamedIsListed(t *testing.T) {
	listed := map[string]bool{"": true}
	for _, c := range Curves() {
		listed[c] = true
	}
	check := func(m meaning) {
		for _, c := range append(m.among, m.curve) {
			if !listed[c] {
				t.Errorf("%q is not among Curves", c)
			}
		}
		if (m.kind == KindCurve) != (m.curve != "") || (m.curve == "" && m.note == "") || m.grade == "" {
			t.Errorf("half a meaning: %+v", m)
		}
	}
	for _, m := range publicGammas {
		check(m)
	}
	for _, m := range privateGammas06 {
		check(m)
	}
	for _, m := range privateGammas15 {
		check(m)
	}
	for _, m := range spokenGammas {
		check(m)
	}
	for _, m := range transferCurves {
		check(m)
	}
	for _, r := range userItems {
		for _, m := range r.curves {
			check(m)
		}
	}
}
