package metadata

import (
	"os"
	"slices"
	"testing"

	"stopledger/curve"
	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

// The fuzz tests hand hostile bytes to one reader each. Beside "no panic" they hold the promises
// of a Record: names are of the published list, numbers are numbers, lists are bounded, and a
// chosen curve is one of the claims. testdata/fuzz keeps inputs that reached new code; none has
// failed so far.

func checkRecord(t *testing.T, r Record) {
	t.Helper()
	if r.Curve != nil && !slices.ContainsFunc(r.Claims,
		func(c Claim) bool { return c.Curve == r.Curve.Curve && c.Where == r.Curve.Where }) {
		t.Errorf("the curve is not among the claims: %+v", r.Curve)
	}
	if !slices.IsSortedFunc(r.Claims, func(a, b Claim) int { return a.Origin.Trust() - b.Origin.Trust() }) {
		t.Errorf("claims are not in order of trust")
	}
	for _, c := range r.Claims {
		if (c.Curve != "") != (c.Kind == KindCurve) || c.Curve != "" && !slices.Contains(Curves(), c.Curve) || c.Where == "" {
			t.Errorf("claim %+v", c)
		}
	}
	if len(r.Claims) > container.MostSentences || len(r.Unknown) > container.MostSentences ||
		len(r.Problems) > container.MostSentences {
		t.Errorf("%d claims, %d unknown, %d problems", len(r.Claims), len(r.Unknown), len(r.Problems))
	}
	if r.Camera != nil {
		checkCamera(t, *r.Camera)
	}
}

func checkCamera(t *testing.T, c Camera) {
	t.Helper()
	for _, q := range quantities {
		if v, said := q.of(&c); said && !curve.Finite(v) {
			t.Errorf("%s is not a number", q.say(v))
		}
	}
	if c.IrisF != nil && *c.IrisF <= 0 || c.ISO != nil && *c.ISO <= 0 || c.NDStops != nil && *c.NDStops < 0 {
		t.Errorf("impossible: %+v", c)
	}
}

func FuzzBoxes(f *testing.F) {
	worked := build.WorkedSample()
	f.Add(build.Join(build.RTMDClip([][]byte{worked, worked}), build.ClipXML(build.NonRealTime("s-log3", "s-gamut3"))))
	f.Add(build.Clip(build.VisualTrack(nclx(9, 18, 9, 0), build.MP4("logs", []byte("com.apple.rec2020.apple-log")))))
	f.Add(build.Clip(build.Keys(build.TextKey(keyCustomGamma, "com.apple.rec2020.apple-log")),
		build.MP4("udta", build.MP4("MVTG", note(signature1)))))
	f.Add(build.Join(build.U32(1), []byte("ftyp"), build.U64(20), build.U32(7)))
	f.Fuzz(func(t *testing.T, p []byte) {
		checkRecord(t, readBytes(p, Hints{}))
	})
}

func FuzzMDTA(f *testing.F) {
	f.Add(build.KeysBody(build.TextKey(keyCustomGamma, "com.apple.rec2020.apple-log"),
		build.TypedKey("com.arri.camera.SensorFps", 22, build.U16(24000))), uint32(22), []byte{1})
	f.Add(build.KeysBody(build.TypedKey("com.panasonic.Semi-Pro.metadata.xml", 2, utf16BE(clipMain("V-Log", "V-Gamut")))),
		uint32(24), make([]byte, 8))
	f.Fuzz(func(t *testing.T, body []byte, kind uint32, p []byte) {
		typed := build.Keys(build.TypedKey("key", int(kind), p))
		for _, k := range found(build.Clip(typed)).Keys {
			if !curve.Finite(k.Value.Number) {
				t.Errorf("type %d, % X: not a number", kind, p)
			}
		}
		checkRecord(t, readBytes(build.Clip(build.MP4("meta", body)), Hints{}))
	})
}

func FuzzKLV(f *testing.F) {
	f.Add(build.WorkedSample())
	f.Add(build.FrameSample(build.CameraSets(build.SLog3Cine, 800, 0x8000)))
	f.Add(build.FrameSample(build.KLV(build.Key15,
		build.Item(0xE211, build.Unhex("060E2B34 0401010D 0E150001 07000000")))))
	f.Add(build.FrameSample(build.KLV(build.UserKey, build.Item(0xE000, []byte(userIdentifier)),
		build.Item(0xE301, build.U32(800)))))
	f.Fuzz(func(t *testing.T, p []byte) {
		for _, f := range append(found(build.RTMDClip([][]byte{p})).Frames, container.Frame{Sets: p, Where: "sets"}) {
			checkCamera(t, frameFrom(f).camera)
			n := &notes{}
			n.fromFrames([]container.Frame{f, f}, 2)
			checkRecord(t, n.record())
		}
	})
}

func FuzzMXF(f *testing.F) {
	sets := build.WorkedSample()[28:]
	for _, carry := range build.Carriers {
		f.Add(build.Join(build.Partition(build.HeaderPackKey, build.CDCI(build.CameraLogS3, 64, 940, 897)),
			build.ContentPackages([][]byte{sets, sets}, carry, 10)))
	}
	f.Fuzz(func(t *testing.T, p []byte) {
		checkRecord(t, readBytes(p, Hints{}))
	})
}

func FuzzXML(f *testing.F) {
	if real, err := os.ReadFile("../../../shared/data/sidecars/C0001M01.XML"); err == nil {
		f.Add(real)
	}
	f.Add(build.NonRealTime("s-log3-cine", "s-gamut3-cine"))
	f.Add([]byte(clipMain("V-LogL", "V-Gamut")))
	f.Add(build.UTF16(string(build.NonRealTime("hlg", "rec2020")), true, true))
	f.Fuzz(func(t *testing.T, p []byte) {
		n := &notes{}
		n.fromDocument(document{OriginClipXML, container.Document{Where: "meta box", Data: p}})
		checkRecord(t, n.record())
	})
}

func FuzzKeys(f *testing.F) {
	f.Add("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel", "ALEXA 35")
	f.Add("com.arri.camera.NdFilterDensity", "0.6", "com.apple.proapps.exif.{Exif}.ShutterSpeedValue", "-1e5")
	f.Add(keyCustomGamma, "com.blackmagic-design.camera.filmlog", keyScience, "Gen 5")
	f.Add("com.atomos.hdr.gamma", "S-Log 3", keyClipXML, clipMain("V-Log", "V-Gamut"))
	f.Fuzz(func(t *testing.T, name1, text1, name2, text2 string) {
		r := interpret(&container.Found{}, nil, Hints{Tags: map[string]string{name1: text1, name2: text2}, Transfer: text1})
		checkRecord(t, r)
	})
}

func FuzzMakerNote(f *testing.F) {
	f.Add("MVTG", note(signature1, entry(0x3803, 4, 1, 0x10)))
	f.Add("PANA", note(signature2, entry(0x89, 3, 1, 17)))
	f.Fuzz(func(t *testing.T, kind string, p []byte) {
		n := &notes{}
		n.fromUserItem(container.Note{Kind: kind, Data: p})
		checkRecord(t, n.record())
	})
}
