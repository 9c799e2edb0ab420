package metadata

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/testdata/footage"
)

func TestReadErrorsNameTheFile(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{dir, filepath.Join(dir, "missing.mp4")} {
		r, err := Read(path, Hints{Transfer: "arib-std-b67"})
		if err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v", path, err)
		}
		if r.Curve == nil || r.Curve.Curve != "HLG" {
			t.Errorf("%s: what the hints say is lost: %+v", path, r.Curve)
		}
	}
}

// Files that hold no boxes and no partitions are not an error: tags and a sidecar may say all.
func TestReadOtherContainers(t *testing.T) {
	dir := t.TempDir()
	for name, content := range map[string]string{"empty.mkv": "", "short.avi": "RIFF",
		"text.mov": "no box at all, only text"} {
		path := filepath.Join(dir, name)
		write(t, path, []byte(content))
		r, err := Read(path, Hints{Container: "mov,mp4", Tags: map[string]string{"COM.ATOMOS.HDR.GAMMA": "VLog"}})
		if err != nil || r.Curve == nil || r.Curve.Curve != "V-Log" {
			t.Errorf("%s: %+v, %v", name, r.Curve, err)
		}
	}
}

func TestSidecarBesideAnyClip(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct{ clip, xml string }{{"A.MXF", "AM01.XML"}, {"b.mkv", "bM01.xml"},
		{"noext", "noextM01.XML"}} {
		write(t, filepath.Join(dir, c.clip), nil)
		write(t, filepath.Join(dir, c.xml), build.NonRealTime("s-log3", "s-gamut3"))
		r, err := Read(filepath.Join(dir, c.clip), Hints{})
		if err != nil || r.Curve == nil || r.Curve.Origin != OriginSidecar ||
			r.Curve.Where != c.xml+", CaptureGammaEquation" {
			t.Errorf("%s: %+v, %v", c.clip, r.Curve, err)
		}
	}
}

// The clip's own XML and the sidecar disagree: both are told.
func TestSidecarAgainstClip(t *testing.T) {
	path := filepath.Join(t.TempDir(), "C1.MP4")
	write(t, path, build.Join(build.Clip(), build.ClipXML(build.NonRealTime("s-log3", "s-gamut3"))))
	write(t, strings.TrimSuffix(path, ".MP4")+"M01.XML", build.NonRealTime("s-log2", "s-gamut"))
	r, err := Read(path, Hints{})
	if err != nil || r.Curve != nil || len(r.Conflicts) != 1 || len(r.Claims) != 2 {
		t.Errorf("%+v, %v", r, err)
	}
}

// Real phone clips and broken ones: no camera log is found in any, and nothing is invented.
// Curves are those of the clips' descriptions.
func TestRealClips(t *testing.T) {
	for _, c := range []struct {
		path, transfer, curve string
	}{
		{"video/phone-rooftops-hlg-hevc10-editlist.mp4", "arib-std-b67", "HLG"},
		{"video/rooftops-pq-hevc10.mp4", "smpte2084", "PQ"},
		{"video/phone-rooftops-hlg-cut.mov", "arib-std-b67", "HLG"},
		{"video/rooftops-pq-cut.mp4", "smpte2084", "PQ"},
		{"video/roadtrip-vp9-10bit.webm", "", ""},
		{"bad/invalid_nalu.mp4", "", ""},
		{"bad/mdat_too_long.mp4", "", ""},
	} {
		t.Run(c.path, func(t *testing.T) {
			r, err := Read(footage.Path(t, c.path), Hints{Transfer: c.transfer, Primaries: "bt2020"})
			if err != nil || len(r.Problems)+len(r.Unknown)+len(r.Conflicts)+len(r.TagsDiffer) > 0 {
				t.Errorf("%v, %q, %q, %q, %q", err, r.Problems, r.Unknown, r.Conflicts, r.TagsDiffer)
			}
			if (r.Curve == nil) != (c.curve == "") || r.Curve != nil && r.Curve.Curve != c.curve {
				t.Errorf("%+v", r.Curve)
			}
		})
	}
}

// A pipe named like the XML beside a clip, or like a clip, is not opened: that would take for ever.
func TestPipesAreNotOpened(t *testing.T) {
	clip := filepath.Join(t.TempDir(), "C0001.MP4")
	for _, path := range []string{clip, strings.TrimSuffix(clip, ".MP4") + "M01.XML"} {
		if err := syscall.Mkfifo(path, 0o600); err != nil {
			t.Skip(err)
		}
	}
	said, err := Read(clip, Hints{})
	if err == nil || !strings.Contains(err.Error(), "not a file") || len(said.Claims) != 0 {
		t.Errorf("%+v, %v", said, err)
	}
}
