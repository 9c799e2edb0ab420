package metadata

import (
	"math"
	"testing"
	"unicode/utf16"

	"stopledger/decode/metadata/build"
)

// Keys of moov and of a track, of every kind of number; a value that is not there, an index past the
// names and a name in another name space are passed over.
func TestKeysInTheFile(t *testing.T) {
	values := []build.TypedValue{
		build.TextKey("Com.Arri.Camera.ColorGammaSxS", "LOG-C"),
		build.TypedKey("com.arri.camera.ExposureIndexAsa", 21, build.U32(1280)),
		build.TypedKey("com.arri.camera.SensorFps", 22, build.U32(24000)),
		build.TypedKey("com.arri.camera.ShutterAngle", 24, build.U64(int(math.Float64bits(172.8)))),
		build.TypedKey("com.arri.camera.CameraModel", 2, utf16BE("ALEXA Mini")),
		build.TypedKey("com.arri.camera.WhiteBalanceTintCc", 65, []byte{0xFE}),
		build.TypedKey("com.arri.camera.WhiteBalanceKelvin", 76, build.U16(5600)),
	}
	for name, p := range map[string][]byte{
		"moov":      build.Clip(build.Keys(values...)),
		"moov, MP4": build.Clip(build.Full("meta", build.KeysBody(values...))),
		"track": build.Clip(build.Track("vide", build.SampleTable(build.RTMDEntry, nil, 1, 0, 0),
			build.Keys(values...))),
		"moov and trak": build.Clip(build.Keys(values[:4]...), build.Track("vide", nil, build.Keys(values[4:]...))),
	} {
		r := readBytes(p, Hints{})
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
		p = append(p, build.U16(int(u))...)
	}
	return p
}

func TestDamagedKeys(t *testing.T) {
	list := func(index int, data []byte) []byte {
		return build.MP4("ilst", build.MP4(string(build.U32(index)), data))
	}
	name := build.MP4("mdta", []byte(keyCustomGamma))
	data := build.MP4("data", build.U32(1), build.U32(0), []byte("com.apple.rec2020.apple-log"))
	for what, body := range map[string][]byte{
		"index 0":          build.Join(build.Full("keys", build.U32(1), name), list(0, data)),
		"index past names": build.Join(build.Full("keys", build.U32(1), name), list(2, data)),
		"index huge":       build.Join(build.Full("keys", build.U32(1), name), list(0xFFFFFFFF, data)),
		"another space": build.Join(build.Full("keys", build.U32(1), build.MP4("udta", []byte(keyCustomGamma))),
			list(1, data)),
		"no data":           build.Join(build.Full("keys", build.U32(1), name), list(1, build.MP4("free"))),
		"data cut off":      build.Join(build.Full("keys", build.U32(1), name), list(1, build.MP4("data", build.U32(1)))),
		"name of size 0":    build.Join(build.Full("keys", build.U32(1), build.U32(0), []byte("mdta")), list(1, data)),
		"name past the end": build.Join(build.Full("keys", build.U32(1), build.U32(9999), []byte("mdtax")), list(1, data)),
		"no values":         build.Full("keys", build.U32(1), name),
	} {
		p := build.Clip(build.MP4("meta", build.Handler("mdta"), body))
		if r := readBytes(p, Hints{}); r.Curve != nil {
			t.Errorf("%s: %+v", what, r.Curve)
		}
	}
	good := build.Clip(build.MP4("meta", build.Handler("mdta"), build.Full("keys", build.U32(1), name), list(1, data)))
	if r := readBytes(good, Hints{}); r.Curve == nil {
		t.Error("the sound one is not read")
	}
}
