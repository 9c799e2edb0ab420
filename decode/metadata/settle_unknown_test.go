package metadata_test

import (
	"strings"
	"testing"

	"stopledger/decode/metadata"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/testdata/footage"
)

func TestSourcesThatContradict(t *testing.T) {
	for _, c := range []struct {
		add   func(*testing.T, string)
		parts []string
	}{
		{build.AddAll(build.AddMeta("s-log3"), addSidecar("s-log2")),
			[]string{"the clip's XML says S-Log3", "the XML beside the clip says S-Log2", "--curve (slog3, slog2)"}},
		{build.AddAll(build.AddTrack, addSidecar("hlg")), []string{"the per-frame metadata says S-Log3",
			"the XML beside the clip says HLG", "--curve"}},
		{build.AddAll(build.AddTrackOf(build.LabelVLog), build.AddMeta("s-log3")),
			[]string{"the per-frame metadata says V-Log", "the clip's XML says S-Log3"}},
		{build.AddAll(build.AddTrack, build.AddMeta("s-cinetone")), []string{"the per-frame metadata says S-Log3",
			"the clip's XML says a curve that is not log", "--curve"}},
	} {
		path := take{curve: "S-Log3"}.file(t, "a.mp4")
		c.add(t, path)
		refused(t, path, c.parts...)
		got := settled(t, path, as(t, "slog3", 0))
		if d := doubt(got, metadata.CurveDoubt); !d.Caution || got.CurveOrigin != metadata.OriginFlag {
			t.Errorf("named by the user: from %s, doubt %+v", got.CurveOrigin, d)
		}
	}
}

func TestNoCurveKnown(t *testing.T) {
	keys := func(pairs ...string) take {
		k := take{curve: "S-Log3", how: synth.Encoding{Metadata: map[string]string{}}}
		for i := 0; i < len(pairs); i += 2 {
			k.how.Metadata[pairs[i]] = pairs[i+1]
		}
		return k
	}
	for _, c := range []struct {
		about string
		take  take
		add   func(*testing.T, string)
		parts []string
	}{
		{"nothing said", keys(), nil, []string{"no log curve is named in the file",
			"--curve (slog3, vlog, logc3, clog3, flog2)", "--assume", "stopledger curves"}},
		{"tags of BT.709", take{curve: "S-Log3", how: synth.Encoding{Transfer: "bt709", Primaries: "bt709"}}, nil,
			[]string{"no log curve is named"}},
		{"a make", keys("com.apple.quicktime.make", "Panasonic", "com.apple.quicktime.model", "DC-S5"), nil,
			[]string{"no log curve is named", "--curve (vlog)"}},
		{"a make that holds another's letters", keys("com.apple.quicktime.make", "Hundred"), nil,
			[]string{"--curve (slog3, vlog"}},
		{"a display gamma", keys(), build.AddMeta("s-cinetone"),
			[]string{"the clip's XML says a curve that is not log (meta box, CaptureGammaEquation: s-cinetone)",
				"--curve (slog3, slog2)"}},
		{"a word that is not known", keys(), build.AddMeta("q-log7"),
			[]string{"says what is not understood", "q-log7", "--curve"}},
		{"LOG-C of no camera", keys("com.arri.camera.ColorGammaSxS", "LOG-C"), nil,
			[]string{"a log curve without saying which", "LogC3 or LogC4", "--curve (logc3, logc4)"}},
		{"Apple Log 2", keys("com.apple.proapps.customgamma", "com.apple.apple-wide-gamut.apple-log"), nil,
			[]string{"Apple Log 2: a log curve that is not among the published ones"}},
		{"a document that is cut off", keys(), func(t *testing.T, path string) {
			cut := build.CameraXML("s-log3", "s-gamut3")[:300]
			build.WriteFile(t, path, build.Join(build.ReadFile(t, path), build.ClipXML(cut)))
		}, []string{"no log curve is named", "meta box: XML syntax error"}},
		{"an index that is not published", keys("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel",
			"AMIRA", "com.arri.camera.ExposureIndexAsa", "801"), nil,
			[]string{"not published for exposure index 801", "--ei"}},
		{"escapes in a value", keys(), build.AddMeta("&#x9;evil&#xA;[31m"), []string{`evil\n[31m`}},
	} {
		t.Run(c.about, func(t *testing.T) {
			path := c.take.file(t, "a.mov")
			if c.add != nil {
				c.add(t, path)
			}
			refused(t, path, c.parts...)
		})
	}
}

// What is damaged of the metadata is told where the curve is known otherwise.
func TestDamagedMetadata(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "a.mp4")
	build.WriteFile(t, path, build.WithTrack(t, build.ReadFile(t, path), []byte{0, 28, 0, 0},
		[]byte("not a frame's settings")))
	addSidecar("s-log3")(t, path)
	got := settled(t, path, metadata.ReadAs{})
	d := doubt(got, metadata.MetadataDamaged)
	if got.CurveOrigin != metadata.OriginSidecar || d.Caution ||
		!strings.Contains(d.Text, "rtmd track, sample 1") || !strings.Contains(d.Text, "1 more") {
		t.Errorf("from %s, doubt %+v", got.CurveOrigin, d)
	}
}

// A camera's real document beside a clip.
func TestRealSidecar(t *testing.T) {
	real := footage.Path(t, "sidecars/C0001M01.XML")
	path := take{curve: "S-Log3"}.file(t, "C0001.MP4")
	build.WriteFile(t, strings.TrimSuffix(path, ".MP4")+"M01.XML", build.ReadFile(t, real))
	refused(t, path, "the XML beside the clip says a curve that is not log", "s-cinetone", "--curve (slog3, slog2)")
}
