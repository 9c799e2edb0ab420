package metadata_test

import (
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/metadata"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/testdata/footage"
)

// Each kind of metadata, alone in an encoded clip or beside it, names the curve.
func TestCurveOfEachSource(t *testing.T) {
	hlg := synth.Encoding{Transfer: "arib-std-b67", Primaries: "bt2020"}
	keys := func(pairs ...string) synth.Encoding {
		m := map[string]string{}
		for i := 0; i < len(pairs); i += 2 {
			m[pairs[i]] = pairs[i+1]
		}
		return synth.Encoding{Metadata: m}
	}
	in := func(c synth.Codec, e synth.Encoding) synth.Encoding { e.Codec = c; return e }
	larger := func(c *synth.Camera) { c.Width, c.Height = 256, 128 } // DNxHR has a least size
	for _, c := range []struct {
		about         string
		file          string
		take          take
		add           func(t *testing.T, path string)
		curve, origin string
	}{
		{"frames in mp4", "a.mp4", take{curve: "S-Log3"}, build.AddTrack, "S-Log3", "acquisition-metadata"},
		{"frames in mov", "a.mov", take{curve: "S-Log3"}, build.AddTrack, "S-Log3", "acquisition-metadata"},
		{"meta box", "a.mp4", take{curve: "S-Log3"}, build.AddMeta("s-log3-cine"), "S-Log3", "clip-xml"},
		{"meta box, HLG", "a.mp4", take{curve: "HLG"}, build.AddMeta("rec2100-hlg"), "HLG", "clip-xml"},
		{"sidecar of an mp4", "C0001.MP4", take{curve: "S-Log2"}, addSidecar("s-log2"), "S-Log2", "sidecar-xml"},
		{"sidecar of an mxf", "C0002.MXF", take{curve: "S-Log3", how: synth.Encoding{Codec: synth.DNxHR},
			change: larger}, addSidecar("s-log3"), "S-Log3", "sidecar-xml"},
		{"custom gamma", "a.mov", take{curve: "Apple Log",
			how: keys("com.apple.proapps.customgamma", "com.apple.rec2020.apple-log")}, nil, "Apple Log", "container-key"},
		{"recorder's key", "a.mov", take{curve: "V-Log", how: in(synth.ProRes422, keys("com.atomos.hdr.gamma", "VLog"))},
			nil, "V-Log", "container-key"},
		{"recorder's key in mkv", "a.mkv", take{curve: "V-Log",
			how: in(synth.FFV1, keys("com.atomos.hdr.gamma", "VLog"))}, nil, "V-Log", "container-key"},
		{"LOG-C of an older camera", "a.mov", take{curve: "LogC3",
			how: keys("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel", "ALEXA Mini",
				"com.arri.camera.ExposureIndexAsa", "1600")}, nil, "LogC3 EI1600", "container-key"},
		{"LOG-C of a newer camera", "a.mov", take{curve: "LogC4",
			how: keys("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel",
				"ALEXA 35")}, nil, "LogC4", "container-key"},
		{"descriptor", "a.mxf", take{curve: "S-Log3", how: in(synth.DNxHR, hlg), change: larger}, build.AddDescriptor,
			"S-Log3", "mxf-descriptor"},
		{"HLG tag in mxf", "a.mxf", take{curve: "HLG", how: in(synth.DNxHR, hlg), change: larger}, nil, "HLG",
			"transfer-tag"},
		{"HLG tag", "a.mp4", take{curve: "HLG", how: hlg}, nil, "HLG", "transfer-tag"},
		{"PQ tag", "a.mp4", take{curve: "PQ", how: synth.Encoding{Codec: synth.HEVC, Transfer: "smpte2084",
			Primaries: "bt2020"}}, nil, "PQ", "transfer-tag"},
		{"a log under an HLG tag", "a.mp4", take{curve: "S-Log3", how: hlg}, build.AddMeta("s-log3"), "S-Log3", "clip-xml"},
		{"frames, the camera's document and its copy", "a.mp4", take{curve: "S-Log3"},
			build.AddAll(build.AddTrack, build.AddMeta("s-log3-cine"), addSidecar("s-log3-cine")), "S-Log3",
			"acquisition-metadata"},
		{"document and copy", "a.mp4", take{curve: "S-Log3"},
			build.AddAll(build.AddMeta("s-log3-cine"), addSidecar("s-log3")),
			"S-Log3", "clip-xml"},
		{"copy and key", "a.mov", take{curve: "S-Log3", how: keys("com.atomos.hdr.gamma", "SLog3")},
			addSidecar("s-log3"), "S-Log3", "sidecar-xml"},
		{"frames that say nothing of the curve", "a.mp4", take{curve: "S-Log2"},
			build.AddAll(build.AddTrackOf("00000000 00000000 00000000 00000000"), build.AddMeta("s-log2")),
			"S-Log2", "clip-xml"},
	} {
		t.Run(c.about, func(t *testing.T) {
			path := c.take.file(t, c.file)
			if c.add != nil {
				c.add(t, path)
			}
			got := settled(t, path, metadata.ReadAs{})
			if got.Reading.Curve.Name != c.curve || string(got.CurveOrigin) != c.origin || got.Assumed {
				t.Errorf("%s by %s, want %s by %s", got.Reading.Curve.Name, got.CurveOrigin, c.curve, c.origin)
			}
			if len(got.Doubts) > 0 {
				t.Errorf("doubted: %+v", got.Doubts)
			}
		})
	}
}

func addSidecar(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		build.WriteFile(t, strings.TrimSuffix(path, filepath.Ext(path))+"M01.XML", build.CameraXML(gamma, "s-gamut3-cine"))
	}
}

// Real phone clips and one of an archive: curves and ranges as testdata/footage/README.md has them.
func TestRealVideo(t *testing.T) {
	for file, curve := range map[string]string{
		"phone-rooftops-hlg-hevc10-editlist.mp4": "HLG", "rooftops-pq-hevc10.mp4": "PQ",
		"phone-rooftops-hlg-cut.mov": "HLG", "rooftops-pq-cut.mp4": "PQ",
	} {
		t.Run(file, func(t *testing.T) {
			got := settled(t, footage.Path(t, "video/"+file), metadata.ReadAs{})
			if got.Reading.Curve.Name != curve || got.CurveOrigin != metadata.OriginTransfer ||
				got.Range != (metadata.Value{Value: "narrow", Origin: metadata.OriginTag}) ||
				got.MatrixFrom != (metadata.Value{Value: "bt2020", Origin: metadata.OriginTag}) || len(got.Doubts) > 0 {
				t.Errorf("%+v", got)
			}
		})
	}
	refused(t, footage.Path(t, "video/roadtrip-vp9-10bit.webm"), "no log curve is named")
}
