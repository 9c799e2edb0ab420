package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/synth"
	"stopledger/report"
)

// within is how exactly a camera's value comes back: iris is stored in 1/4096 stop.
const within = 5e-3

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
		{"frames in mp4", "a.mp4", take{curve: "S-Log3"}, addTrack, "S-Log3", "acquisition-metadata"},
		{"frames in mov", "a.mov", take{curve: "S-Log3"}, addTrack, "S-Log3", "acquisition-metadata"},
		{"meta box", "a.mp4", take{curve: "S-Log3"}, addMeta("s-log3-cine"), "S-Log3", "clip-xml"},
		{"meta box, HLG", "a.mp4", take{curve: "HLG"}, addMeta("rec2100-hlg"), "HLG", "clip-xml"},
		{"sidecar of an mp4", "C0001.MP4", take{curve: "S-Log2"}, addSidecar("s-log2"), "S-Log2", "sidecar-xml"},
		{"sidecar of an mxf", "C0002.MXF", take{curve: "S-Log3", how: synth.Encoding{Codec: synth.DNxHR}, change: larger}, addSidecar("s-log3"), "S-Log3", "sidecar-xml"},
		{"custom gamma", "a.mov", take{curve: "Apple Log", how: keys("com.apple.proapps.customgamma", "com.apple.rec2020.apple-log")}, nil, "Apple Log", "container-key"},
		{"recorder's key", "a.mov", take{curve: "V-Log", how: in(synth.ProRes422, keys("com.atomos.hdr.gamma", "VLog"))}, nil, "V-Log", "container-key"},
		{"recorder's key in mkv", "a.mkv", take{curve: "V-Log", how: in(synth.FFV1, keys("com.atomos.hdr.gamma", "VLog"))}, nil, "V-Log", "container-key"},
		{"LOG-C of an older camera", "a.mov", take{curve: "LogC3", how: keys("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel", "ALEXA Mini",
			"com.arri.camera.ExposureIndexAsa", "1600")}, nil, "LogC3 EI1600", "container-key"},
		{"LOG-C of a newer camera", "a.mov", take{curve: "LogC4", how: keys("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel", "ALEXA 35")}, nil, "LogC4", "container-key"},
		{"descriptor", "a.mxf", take{curve: "S-Log3", how: in(synth.DNxHR, hlg), change: larger}, addDescriptor, "S-Log3", "mxf-descriptor"},
		{"HLG tag in mxf", "a.mxf", take{curve: "HLG", how: in(synth.DNxHR, hlg), change: larger}, nil, "HLG", "transfer-tag"},
		{"HLG tag", "a.mp4", take{curve: "HLG", how: hlg}, nil, "HLG", "transfer-tag"},
		{"PQ tag", "a.mp4", take{curve: "PQ", how: synth.Encoding{Codec: synth.HEVC, Transfer: "smpte2084", Primaries: "bt2020"}}, nil, "PQ", "transfer-tag"},
		{"a log under an HLG tag", "a.mp4", take{curve: "S-Log3", how: hlg}, addMeta("s-log3"), "S-Log3", "clip-xml"},
		{"frames, the camera's document and its copy", "a.mp4", take{curve: "S-Log3"}, all(addTrack, addMeta("s-log3-cine"), addSidecar("s-log3-cine")), "S-Log3", "acquisition-metadata"},
		{"document and copy", "a.mp4", take{curve: "S-Log3"}, all(addMeta("s-log3-cine"), addSidecar("s-log3")), "S-Log3", "clip-xml"},
		{"copy and key", "a.mov", take{curve: "S-Log3", how: keys("com.atomos.hdr.gamma", "SLog3")}, addSidecar("s-log3"), "S-Log3", "sidecar-xml"},
		{"frames that say nothing of the curve", "a.mp4", take{curve: "S-Log2"}, all(addTrackOf("00000000 00000000 00000000 00000000"), addMeta("s-log2")), "S-Log2", "clip-xml"},
	} {
		t.Run(c.about, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), c.file)
			c.take.stops = 0.5
			truth := c.take.record(t, path)
			if c.add != nil {
				c.add(t, path)
			}
			clip := auditedClip(t, "--region", takeCard, path)
			if clip.Curve.Name != c.curve || clip.Curve.Origin != c.origin || clip.Curve.Assumed {
				t.Errorf("curve %+v, want %s by %s", clip.Curve, c.curve, c.origin)
			}
			if f, doubted := finding(clip, "curve-doubt"); doubted {
				t.Errorf("doubted: %+v", f)
			}
			// The metadata's exposure index of LogC3 moves nothing at grey, and little beside it.
			if math.Abs(clip.Placement.Stops-truth.Placement) > 0.03 {
				t.Errorf("grey at %+.3f stops, recorded at %+.3f", clip.Placement.Stops, truth.Placement)
			}
		})
	}
}

func addTrack(t *testing.T, path string) { addTrackOf(labelSLog3)(t, path) }

func addTrackOf(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		sample := frameSettings(gamma, 800)
		mustWrite(t, path, withTrack(t, mustRead(t, path), sample, sample, sample, sample))
	}
}

func addMeta(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		mustWrite(t, path, joined(mustRead(t, path), metaBox(clipXML(gamma, "s-gamut3-cine"))))
	}
}

func addSidecar(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		mustWrite(t, strings.TrimSuffix(path, filepath.Ext(path))+"M01.XML", clipXML(gamma, "s-gamut3-cine"))
	}
}

// addDescriptor puts the label of a camera log, which FFmpeg 5.1 cannot write, in place of HLG.
func addDescriptor(t *testing.T, path string) {
	replaceAll(t, path, fromHex(labelHLG)[8:], fromHex(labelCameraLog)[8:])
}

func all(adds ...func(*testing.T, string)) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		for _, add := range adds {
			add(t, path)
		}
	}
}

func TestCameraOfFrames(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "a.mp4")
	file := mustRead(t, path)
	mustWrite(t, path, withTrack(t, file, frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 1600)))
	c := auditedClip(t, path).Camera
	if c == nil {
		t.Fatal("no camera")
	}
	for _, v := range []struct {
		name string
		got  *float64
		want float64
	}{
		{"ISO", c.ISO, 800}, {"exposure index", c.ExposureIndex, 640}, {"gain", c.GainDB, -3}, {"shutter", c.ShutterS, 0.02},
		{"shutter angle", c.ShutterDeg, 180}, {"iris", c.IrisF, 2.80}, {"ND", c.NDStops, 2}, {"white balance", c.WhiteBalanceK, 5600}, {"rate", c.CaptureFPS, 25},
	} {
		if v.got == nil || math.Abs(*v.got-v.want) > within {
			t.Errorf("%s: got %s, want %g", v.name, textOf(v.got), v.want)
		}
	}
	if c.Gamut != "S-Gamut3.Cine" || len(c.Changes) != 1 || !strings.Contains(c.Changes[0], "ISO 1600 at last") {
		t.Errorf("gamut %q, changes %q", c.Gamut, c.Changes)
	}
}

func TestCameraOfSidecar(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "C0001.mp4")
	addSidecar("s-log3-cine")(t, path)
	clip := auditedClip(t, path)
	c := clip.Camera
	if c == nil || c.Make != "Sony" || c.Model != "ILME-FX3" || c.Gamut != "S-Gamut3.Cine" || c.CaptureFPS == nil || *c.CaptureFPS != 25 || c.ISO != nil {
		t.Errorf("%+v", c)
	}
	if clip.Timecode != "19:57:30:17" { // frames 17, seconds 30, minutes 57, hours 19
		t.Errorf("timecode %q", clip.Timecode)
	}
}

func TestSourcesThatContradict(t *testing.T) {
	for _, c := range []struct {
		add   func(*testing.T, string)
		parts []string
	}{
		{all(addMeta("s-log3"), addSidecar("s-log2")), []string{"the clip's XML says S-Log3", "the XML beside the clip says S-Log2", "--curve (slog3, slog2)"}},
		{all(addTrack, addSidecar("hlg")), []string{"the per-frame metadata says S-Log3", "the XML beside the clip says HLG", "--curve"}},
		{all(addTrackOf(labelVLog), addMeta("s-log3")), []string{"the per-frame metadata says V-Log", "the clip's XML says S-Log3"}},
		{all(addTrack, addMeta("s-cinetone")), []string{"the per-frame metadata says S-Log3", "the clip's XML says a curve that is not log", "--curve"}},
	} {
		path := take{curve: "S-Log3"}.file(t, "a.mp4")
		c.add(t, path)
		oneFailure(t, c.parts, path)
		clip := auditedClip(t, "--curve", "slog3", path)
		if f, _ := finding(clip, "curve-doubt"); f.Level != "caution" || clip.Curve.Origin != "flag" {
			t.Errorf("named by the user: curve %+v, doubt %+v", clip.Curve, f)
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
		{"nothing said", keys(), nil, []string{"no log curve is named in the file", "--curve (slog3, vlog, logc3, clog3, flog2)", "--assume", "stopledger curves"}},
		{"tags of BT.709", take{curve: "S-Log3", how: synth.Encoding{Transfer: "bt709", Primaries: "bt709"}}, nil, []string{"no log curve is named"}},
		{"a make", keys("com.apple.quicktime.make", "Panasonic", "com.apple.quicktime.model", "DC-S5"), nil, []string{"no log curve is named", "--curve (vlog)"}},
		{"a make that holds another's letters", keys("com.apple.quicktime.make", "Hundred"), nil, []string{"--curve (slog3, vlog"}},
		{"a display gamma", keys(), addMeta("s-cinetone"), []string{"the clip's XML says a curve that is not log (meta box, CaptureGammaEquation: s-cinetone)", "--curve (slog3, slog2)"}},
		{"a word that is not known", keys(), addMeta("q-log7"), []string{"says what is not understood", "q-log7", "--curve"}},
		{"LOG-C of no camera", keys("com.arri.camera.ColorGammaSxS", "LOG-C"), nil, []string{"a log curve without saying which", "LogC3 or LogC4", "--curve (logc3, logc4)"}},
		{"Apple Log 2", keys("com.apple.proapps.customgamma", "com.apple.apple-wide-gamut.apple-log"), nil, []string{"Apple Log 2: a log curve that is not among the published ones"}},
		{"a document that is cut off", keys(), func(t *testing.T, path string) {
			mustWrite(t, path, joined(mustRead(t, path), metaBox(clipXML("s-log3", "s-gamut3")[:300])))
		}, []string{"no log curve is named", "meta box: XML syntax error"}},
		{"an index that is not published", keys("com.arri.camera.ColorGammaSxS", "LOG-C", "com.arri.camera.CameraModel", "AMIRA", "com.arri.camera.ExposureIndexAsa", "801"), nil,
			[]string{"not published for exposure index 801", "--ei"}},
		{"escapes in a value", keys(), addMeta("&#x9;evil&#xA;[31m"), []string{`evil\n[31m`}},
	} {
		t.Run(c.about, func(t *testing.T) {
			path := c.take.file(t, "a.mov")
			if c.add != nil {
				c.add(t, path)
			}
			oneFailure(t, append(c.parts, path), path)
		})
	}
}

// --assume measures what names no curve, and says so wherever the clip is told of.
func TestAssumedCurve(t *testing.T) {
	dir := t.TempDir()
	silent, named, film := filepath.Join(dir, "silent.mp4"), filepath.Join(dir, "named.mp4"), filepath.Join(dir, "film.mp4")
	for _, path := range []string{silent, named, film} {
		take{curve: "V-Log", stops: 1}.record(t, path)
	}
	addMeta("s-log3")(t, named)
	addMeta("s-cinetone")(t, film)
	doc, code, _ := audited(t, "--assume", "vlog", "--region", takeCard, film, named, silent)
	if code != exitMeasured || len(doc.Clips) != 3 {
		t.Fatalf("exit code %d, %d clips", code, len(doc.Clips))
	}
	if c := doc.Clips[0]; !c.Curve.Assumed {
		t.Errorf("film look: %+v", c.Curve)
	} else if f, _ := finding(c, "curve-doubt"); !strings.Contains(f.Text, "--assume makes it V-Log, but the clip's XML says a curve that is not log") {
		t.Errorf("film look: %+v", f)
	}
	if c := doc.Clips[1].Curve; c.Assumed || c.Name != "S-Log3" || c.Origin != "clip-xml" {
		t.Errorf("named in the clip: %+v", c)
	}
	c := doc.Clips[2]
	if !c.Curve.Assumed || c.Curve.Name != "V-Log" || c.Curve.Origin != "assumed" || math.Abs(c.Placement.Stops-1) > 0.03 {
		t.Errorf("silent: %+v, %+v", c.Curve, c.Placement)
	}
	if _, stdout, _ := program(t, "audit", "--assume", "vlog", silent); !strings.Contains(stdout, "assumed") {
		t.Errorf("text does not say that the curve is assumed:\n%s", stdout)
	}
	if _, stdout, _ := program(t, "audit", "--curve", "vlog", silent); strings.Contains(stdout, "assumed") {
		t.Errorf("text says that a named curve is assumed:\n%s", stdout)
	}
}

// A flag is obeyed, and doubted where the clip says otherwise.
func TestFlagAgainstMetadata(t *testing.T) {
	path := take{curve: "S-Log3", how: synth.Encoding{Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}}.file(t, "a.mov")
	for _, c := range []struct {
		args  string
		doubt string // "" for none
	}{
		{"--curve slog3", ""},
		{"--curve slog2", "--curve makes it S-Log2, but a key of the container says S-Log3"},
		{"--curve vlog", "--curve makes it V-Log, but"},
	} {
		clip := auditedClip(t, append(strings.Fields(c.args), path)...)
		f, doubted := finding(clip, "curve-doubt")
		if clip.Curve.Origin != "flag" || doubted != (c.doubt != "") || !strings.Contains(f.Text, c.doubt) || doubted && f.Level != "caution" {
			t.Errorf("%s: curve %+v, doubt %+v", c.args, clip.Curve, f)
		}
	}
}

// LogC3 is read at the exposure index of the flag, else of the metadata, else at the usual one with
// a word of doubt.
func TestExposureIndex(t *testing.T) {
	alexa := map[string]string{"com.arri.camera.ColorGammaSxS": "LOG-C", "com.arri.camera.CameraModel": "ALEXA Mini"}
	at1600 := map[string]string{"com.arri.camera.ExposureIndexAsa": "1600"}
	for k, v := range alexa {
		at1600[k] = v
	}
	dir := t.TempDir()
	said, unsaid := filepath.Join(dir, "said.mov"), filepath.Join(dir, "unsaid.mov")
	take{curve: "LogC3 EI1600", stops: 3, how: synth.Encoding{Metadata: at1600}}.record(t, said)
	take{curve: "LogC3 EI1600", stops: 3, how: synth.Encoding{Metadata: alexa}}.record(t, unsaid)
	for _, c := range []struct {
		args  string
		path  string
		name  string
		index int
		doubt string
	}{
		{"", said, "LogC3 EI1600", 1600, ""},
		{"--curve logc3", said, "LogC3 EI1600", 1600, ""},
		{"--ei 400", said, "LogC3 EI400", 400, "--ei makes it LogC3 EI400, but a key of the container says LogC3"},
		{"--curve logc3 --ei 400", said, "LogC3 EI400", 400, "--curve makes it LogC3 EI400, but"},
		{"", unsaid, "LogC3", 800, "read at 800; --ei names another"},
		{"--ei 1600", unsaid, "LogC3 EI1600", 1600, ""},
		{"--curve logc3ei1600", unsaid, "LogC3 EI1600", 1600, ""},
	} {
		clip := auditedClip(t, append(strings.Fields(c.args), "--region", takeCard, c.path)...)
		f, doubted := finding(clip, "curve-doubt")
		if clip.Curve.Name != c.name || clip.Curve.Index != c.index || doubted != (c.doubt != "") || !strings.Contains(f.Text, c.doubt) {
			t.Errorf("%s %s: curve %+v, doubt %+v", c.args, filepath.Base(c.path), clip.Curve, f)
		}
		if right := math.Abs(clip.Placement.Stops-3) < 0.03; right != (c.index == 1600) {
			t.Errorf("%s %s: placement %+.3f at index %d, recorded 3 stops over at 1600", c.args, filepath.Base(c.path), clip.Placement.Stops, c.index)
		}
	}
}

// What is damaged of the metadata is told where the curve is known otherwise.
func TestDamagedMetadata(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "a.mp4")
	mustWrite(t, path, withTrack(t, mustRead(t, path), []byte{0, 28, 0, 0}, []byte("not a frame's settings")))
	addSidecar("s-log3")(t, path)
	clip := auditedClip(t, path)
	f, _ := finding(clip, "metadata-damaged")
	if clip.Curve.Origin != "sidecar-xml" || f.Level != "note" || !strings.Contains(f.Text, "rtmd track, sample 1") || !strings.Contains(f.Text, "1 more") {
		t.Errorf("curve %+v, finding %+v", clip.Curve, f)
	}
}

// Real phone clips and one of an archive: curves, ranges and frames as the README of the shared data
// has them.
func TestRealVideo(t *testing.T) {
	dir := "../../../shared/data/video/"
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the shared clips are not here")
	}
	for _, c := range []struct {
		file, curve string
		frames      int
	}{{"phone-rooftops-hlg-hevc10-editlist.mp4", "HLG", 77}, {"rooftops-pq-hevc10.mp4", "PQ", 28}} {
		clip := auditedClip(t, "--grey", "scene", dir+c.file)
		if clip.Curve.Name != c.curve || clip.Curve.Origin != "transfer-tag" || clip.Frames != c.frames || clip.Sampling.FramesLost > 0 ||
			clip.Range != (report.Origin{Value: "narrow", Origin: "tag"}) || clip.Matrix != (report.Origin{Value: "bt2020", Origin: "tag"}) {
			t.Errorf("%s: %+v, %d frames, %v, %v, %+v", c.file, clip.Curve, clip.Frames, clip.Range, clip.Matrix, clip.Sampling)
		}
		for _, id := range []string{"curve-doubt", "range-doubt", "metadata-damaged"} {
			if f, said := finding(clip, id); said {
				t.Errorf("%s: %+v", c.file, f)
			}
		}
	}
	oneFailure(t, []string{"no log curve is named"}, dir+"roadtrip-vp9-10bit.webm")
}

// A camera's real document beside a clip.
func TestRealSidecar(t *testing.T) {
	real := "../../../shared/data/sidecars/C0001M01.XML"
	if _, err := os.Stat(real); err != nil {
		t.Skip("the shared clips are not here")
	}
	path := take{curve: "S-Log3"}.file(t, "C0001.MP4")
	mustWrite(t, strings.TrimSuffix(path, ".MP4")+"M01.XML", mustRead(t, real))
	oneFailure(t, []string{"the XML beside the clip says a curve that is not log", "s-cinetone", "--curve (slog3, slog2)"}, path)
}

func textOf(v *float64) string {
	if v == nil {
		return report.Absent
	}
	return report.SignedStops(*v, 3)
}
