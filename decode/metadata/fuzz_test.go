package metadata

import (
	"bytes"
	"os"
	"slices"
	"testing"

	"stopledger/curve"
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
	if len(r.Claims) > maxSaid || len(r.Unknown) > maxSaid || len(r.Problems) > maxSaid {
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
	worked := workedSample(f)
	f.Add(join(rtmdClip([][]byte{worked, worked}), nrtmMeta(nonRealTime("s-log3", "s-gamut3"))))
	f.Add(clip(visualTrack(nclx(9, 18, 9, 0), mp4("logs", []byte("com.apple.rec2020.apple-log")))))
	f.Add(clip(mdtaMeta(textKey(keyCustomGamma, "com.apple.rec2020.apple-log")),
		mp4("udta", mp4("MVTG", note(signature1)))))
	f.Add(join(u32(1), []byte("ftyp"), u64(20), u32(7)))
	f.Fuzz(func(t *testing.T, p []byte) {
		in := &found{}
		in.gatherBoxes(sourceOf(p))
		checkRecord(t, in.interpret(Hints{}))
	})
}

func FuzzSampleTable(f *testing.F) {
	f.Add(stbl(rtmdEntry, []int{3, 4, 5, 6}, 3, 0, 2), uint16(2))
	f.Add(mp4("stbl", full("stsc", u32(1), u32(1), u32(4), u32(1)), full("stsz", u32(3), u32(4)),
		full("stco", u32(1), u32(0))), uint16(1))
	f.Fuzz(func(t *testing.T, p []byte, i uint16) {
		s := sourceOf(p)
		for _, b := range s.boxes(0, s.size) {
			table, err := s.sampleTable(b)
			if err != nil {
				continue
			}
			if got, err := s.sample(table, int(i)); err == nil && !bytes.Contains(p, got) {
				t.Errorf("sample %d is not of the file", i)
			}
		}
	})
}

func FuzzMDTA(f *testing.F) {
	f.Add(mdtaBody(textKey(keyCustomGamma, "com.apple.rec2020.apple-log"),
		typedValue{"com.arri.camera.SensorFps", 22, u16(24000)}), uint32(22), []byte{1})
	f.Add(mdtaBody(typedValue{"com.panasonic.Semi-Pro.metadata.xml", 2, utf16BE(clipMain("V-Log", "V-Gamut"))}),
		uint32(24), make([]byte, 8))
	f.Fuzz(func(t *testing.T, body []byte, kind uint32, p []byte) {
		if v, err := typed(kind, p); err == nil && number(v.number) == nil {
			t.Errorf("type %d, % X: not a number", kind, p)
		}
		in := &found{}
		s := sourceOf(body)
		in.gatherKeys(s, box{"meta", 0, s.size}, "moov")
		checkRecord(t, in.interpret(Hints{}))
	})
}

func FuzzKLV(f *testing.F) {
	f.Add(workedSample(f))
	f.Add(frameSample(cameraSets(slog3Cine, 800, 0x8000)))
	f.Add(frameSample(klv(key15, item(0xE211, unhex("060E2B34 0401010D 0E150001 07000000")))))
	f.Add(frameSample(klv(userKey, item(0xE000, []byte(userIdentifier)), item(0xE301, u32(800)))))
	f.Fuzz(func(t *testing.T, p []byte) {
		for _, read := range []func([]byte) (frame, error){rtmdFrame,
			func(p []byte) (frame, error) { return frameFromSets(p, "sets"), nil }} {
			if fr, err := read(p); err == nil {
				checkCamera(t, fr.camera)
				n := &notes{}
				n.fromFrames([]frame{fr, fr}, 2)
				checkRecord(t, n.record())
			}
		}
	})
}

func FuzzMXF(f *testing.F) {
	sets := workedSample(f)[28:]
	for _, carry := range carriers {
		f.Add(join(partition(headerPackKey, cdci(cameraLogS3, 64, 940, 897)),
			contentPackages([][]byte{sets, sets}, carry, 10)))
	}
	f.Fuzz(func(t *testing.T, p []byte) {
		in := &found{}
		in.gatherMXF(sourceOf(p))
		checkRecord(t, in.interpret(Hints{}))
	})
}

// FuzzAncillary cuts any bytes into packets and joins them again, and joins any bytes as they are.
func FuzzAncillary(f *testing.F) {
	f.Add(workedSample(f)[28:])
	f.Add(ancillary(pieces(workedSample(f))...))
	f.Fuzz(func(t *testing.T, p []byte) {
		if got := ancillarySets(ancillary(pieces(p)...)); !bytes.Equal(got, p) {
			t.Errorf("%d bytes came back as %d", len(p), len(got))
		}
		if got := ancillarySets(p); len(got) > len(p) {
			t.Errorf("%d bytes out of %d", len(got), len(p))
		}
	})
}

func FuzzXML(f *testing.F) {
	if real, err := os.ReadFile("../../../shared/data/sidecars/C0001M01.XML"); err == nil {
		f.Add(real)
	}
	f.Add(nonRealTime("s-log3-cine", "s-gamut3-cine"))
	f.Add([]byte(clipMain("V-LogL", "V-Gamut")))
	f.Add(inUTF16(string(nonRealTime("hlg", "rec2020")), true, true))
	f.Fuzz(func(t *testing.T, p []byte) {
		n := &notes{}
		n.fromDocument(document{OriginClipXML, "meta box", p})
		checkRecord(t, n.record())
	})
}

func FuzzKeys(f *testing.F) {
	f.Add("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel", "ALEXA 35")
	f.Add("com.arri.camera.NdFilterDensity", "0.6", "com.apple.proapps.exif.{Exif}.ShutterSpeedValue", "-1e5")
	f.Add(keyCustomGamma, "com.blackmagic-design.camera.filmlog", keyScience, "Gen 5")
	f.Add("com.atomos.hdr.gamma", "S-Log 3", keyClipXML, clipMain("V-Log", "V-Gamut"))
	f.Fuzz(func(t *testing.T, name1, text1, name2, text2 string) {
		r := (&found{}).interpret(Hints{Tags: map[string]string{name1: text1, name2: text2}, Transfer: text1})
		checkRecord(t, r)
	})
}

func FuzzMakerNote(f *testing.F) {
	f.Add("MVTG", note(signature1, entry(0x3803, 4, 1, 0x10)))
	f.Add("PANA", note(signature2, entry(0x89, 3, 1, 17)))
	f.Fuzz(func(t *testing.T, kind string, p []byte) {
		n := &notes{}
		n.fromUserItem(userItem{kind, p})
		checkRecord(t, n.record())
	})
}
