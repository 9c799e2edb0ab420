package metadata

import (
	"math"
	"testing"
	"unicode/utf16"
)

// Well-known types 1, 2, 21 to 24 and 65 to 78: QuickTime File Format Specification, "Well-known
// types" (24 and up from memory).
func TestTypedValues(t *testing.T) {
	f32, f64 := math.Float32bits(172.8), math.Float64bits(-172.8)
	for _, c := range []struct {
		kind   uint32
		bytes  []byte
		text   string
		number float64
		bad    bool
	}{
		{kind: 1, bytes: []byte("LOG-C\x00"), text: "LOG-C"},
		{kind: 0, bytes: []byte("LOG-C"), text: "LOG-C"},
		{kind: 1, bytes: []byte{0xFF, 0xC3}, bad: true},
		{kind: 2, bytes: unhex("004C 00F6 0047"), text: "LöG"},
		{kind: 2, bytes: unhex("FEFF 004C"), text: "L"},
		{kind: 2, bytes: unhex("FFFE 4C00"), text: "L"},
		{kind: 2, bytes: unhex("D83C DFA5 00"), text: "🎥"},
		{kind: 21, bytes: unhex("FF"), number: -1},
		{kind: 21, bytes: unhex("0320"), number: 800},
		{kind: 21, bytes: unhex("FFFF38"), number: -200},
		{kind: 21, bytes: unhex("80000000"), number: -1 << 31},
		{kind: 22, bytes: unhex("FF"), number: 255},
		{kind: 22, bytes: unhex("FFFFFF"), number: 1<<24 - 1},
		{kind: 22, bytes: unhex("80000000"), number: 1 << 31},
		{kind: 23, bytes: u32(int(f32)), number: float64(float32(172.8))},
		{kind: 24, bytes: u64(int(f64)), number: -172.8},
		{kind: 65, bytes: unhex("80"), number: -128},
		{kind: 66, bytes: unhex("FED4"), number: -300},
		{kind: 67, bytes: unhex("FFFFFED4"), number: -300},
		{kind: 74, bytes: unhex("FFFFFFFFFFFFFED4"), number: -300},
		{kind: 75, bytes: unhex("80"), number: 128},
		{kind: 76, bytes: unhex("FED4"), number: 65236},
		{kind: 77, bytes: unhex("FFFFFED4"), number: 4294966996},
		{kind: 78, bytes: unhex("0000000100000000"), number: 1 << 32},
		{kind: 23, bytes: unhex("7FC00000"), bad: true},
		{kind: 24, bytes: unhex("7FF0000000000000"), bad: true},
		{kind: 23, bytes: unhex("0000"), bad: true},
		{kind: 66, bytes: unhex("00"), bad: true},
		{kind: 21, bytes: nil, bad: true},
		{kind: 13, bytes: unhex("FFD8"), bad: true},
	} {
		v, err := typed(c.kind, c.bytes)
		switch {
		case (err != nil) != c.bad:
			t.Errorf("type %d, % X: error %v", c.kind, c.bytes, err)
		case c.bad:
		case c.text != "" && v.text != c.text, c.text == "" && (!v.numeric || v.number != c.number):
			t.Errorf("type %d, % X: got %+v, want %q %v", c.kind, c.bytes, v, c.text, c.number)
		}
	}
}

func TestUTF16IsThatOfTheStandardLibrary(t *testing.T) {
	const want = "Prüfung 17 µm 🎬"
	var p []byte
	for _, u := range utf16.Encode([]rune(want)) {
		p = append(p, u16(int(u))...)
	}
	if v, err := typed(2, p); err != nil || v.text != want {
		t.Errorf("got %q, %v", v.text, err)
	}
}

// Keys of moov and of a track, of every kind of number; a value that is not there, an index past the
// names and a name in another name space are passed over.
func TestKeysInTheFile(t *testing.T) {
	values := []typedValue{
		textKey("Com.Arri.Camera.ColorGammaSxS", "LOG-C"),
		{"com.arri.camera.ExposureIndexAsa", 21, u32(1280)},
		{"com.arri.camera.SensorFps", 22, u32(24000)},
		{"com.arri.camera.ShutterAngle", 24, u64(int(math.Float64bits(172.8)))},
		{"com.arri.camera.CameraModel", 2, utf16BE("ALEXA Mini")},
		{"com.arri.camera.WhiteBalanceTintCc", 65, []byte{0xFE}},
		{"com.arri.camera.WhiteBalanceKelvin", 76, u16(5600)},
	}
	for name, p := range map[string][]byte{
		"moov":          clip(mdtaMeta(values...)),
		"moov, MP4":     clip(full("meta", mdtaBody(values...))),
		"track":         clip(track("vide", stbl(rtmdEntry, nil, 1, 0, 0), mdtaMeta(values...))),
		"moov and trak": clip(mdtaMeta(values[:4]...), track("vide", nil, mdtaMeta(values[4:]...))),
	} {
		r := gather(sourceOf(p), "").interpret(Hints{})
		if r.Curve == nil || r.Curve.Curve != "LogC3" || r.Curve.EI == nil || *r.Curve.EI != 1280 {
			t.Errorf("%s: curve %+v, problems %q", name, r.Curve, r.Problems)
			continue
		}
		c := r.Camera
		near(t, name+" rate", c.CaptureFPS, 24, 0)
		near(t, name+" angle", c.ShutterAngleDeg, 172.8, 0)
		near(t, name+" tint", c.Tint, -2, 0)
		near(t, name+" white balance", c.WhiteBalanceK, 5600, 0)
	}
}

func utf16BE(s string) []byte {
	var p []byte
	for _, u := range utf16.Encode([]rune(s)) {
		p = append(p, u16(int(u))...)
	}
	return p
}

func TestDamagedKeys(t *testing.T) {
	list := func(index int, data []byte) []byte { return mp4("ilst", mp4(string(u32(index)), data)) }
	name := mp4("mdta", []byte(keyCustomGamma))
	data := mp4("data", u32(1), u32(0), []byte("com.apple.rec2020.apple-log"))
	for what, body := range map[string][]byte{
		"index 0":           join(full("keys", u32(1), name), list(0, data)),
		"index past names":  join(full("keys", u32(1), name), list(2, data)),
		"index huge":        join(full("keys", u32(1), name), list(0xFFFFFFFF, data)),
		"another space":     join(full("keys", u32(1), mp4("udta", []byte(keyCustomGamma))), list(1, data)),
		"no data":           join(full("keys", u32(1), name), list(1, mp4("free"))),
		"data cut off":      join(full("keys", u32(1), name), list(1, mp4("data", u32(1)))),
		"name of size 0":    join(full("keys", u32(1), u32(0), []byte("mdta")), list(1, data)),
		"name past the end": join(full("keys", u32(1), u32(9999), []byte("mdtax")), list(1, data)),
		"no values":         full("keys", u32(1), name),
	} {
		in := gather(sourceOf(clip(mp4("meta", handlerBox("mdta"), body))), "")
		if r := in.interpret(Hints{}); r.Curve != nil {
			t.Errorf("%s: %+v", what, r.Curve)
		}
	}
	good := clip(mp4("meta", handlerBox("mdta"), full("keys", u32(1), name), list(1, data)))
	if r := gather(sourceOf(good), "").interpret(Hints{}); r.Curve == nil {
		t.Error("the sound one is not read")
	}
}
