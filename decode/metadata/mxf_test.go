package metadata

import (
	"slices"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

func TestMXFCarriage(t *testing.T) {
	sets := build.WorkedSample()[28:]
	for where, carry := range build.Carriers {
		header := build.Partition(build.HeaderPackKey, build.CDCI(build.PublicBT709, 64, 940, 897))
		p := build.Join(header, build.Partition(build.BodyPackKey, nil),
			build.ContentPackages([][]byte{sets, sets, sets}, carry, 100))
		r := readBytes(p, Hints{})
		if len(r.Problems) > 0 || r.Curve == nil || r.Curve.Curve != "S-Log3" || r.Curve.Where != where+", item 3210" {
			t.Errorf("%s: %+v, problems %q", where, r.Curve, r.Problems)
			continue
		}
		near(t, where+" ISO", r.Camera.ISO, 800, 0)
		near(t, where+" iris", r.Camera.IrisF, 2.80, printed)
		if r.Camera.SetsRead < 3 || len(r.Camera.Changes) > 0 {
			t.Errorf("%s: %d sets read, changes %q", where, r.Camera.SetsRead, r.Camera.Changes)
		}
	}
}

// The middle and the last frame are found behind pictures that the reader does not walk through.
func TestMXFChangesAlongTheFile(t *testing.T) {
	var frames [][]byte
	for i := range 40 {
		iso, iris := 800, 0x8000
		if i > 15 && i < 25 {
			iso = 6400
		}
		if i == 39 {
			iris = 0x9000
		}
		frames = append(frames, build.CameraSets(build.SLog3Cine, iso, iris))
	}
	want := []string{"ISO 800 at first, ISO 800 at last, from ISO 800 to ISO 6400 in between",
		"iris F16.0 at first, iris F11.3 at last"}
	for where, carry := range build.Carriers {
		p := build.Join(build.Partition(build.HeaderPackKey, nil), build.ContentPackages(frames, carry, 70000))
		r := readBytes(p, Hints{})
		if r.Camera == nil || !slices.Equal(r.Camera.Changes, want) || r.Camera.SetsRead != 2+6 {
			t.Errorf("%s: %+v", where, r.Camera)
		}
	}
}

func TestMXFRunInAndPlainFiles(t *testing.T) {
	p := build.Join(build.Partition(build.HeaderPackKey, nil),
		build.ContentPackages([][]byte{build.WorkedSample()[28:]}, build.Carriers["MXF sets"], 10))
	if r := readBytes(build.Join(make([]byte, 1000), p), Hints{}); r.Curve == nil {
		t.Error("a run-in hides the file")
	}
	plain := build.Join(build.Partition(build.HeaderPackKey, build.CDCI(build.PublicBT709, 64, 940, 897)),
		build.ContentPackages([][]byte{nil, nil},
			func([]byte) []byte { return build.KLV(build.SystemKey, make([]byte, 57)) }, 10))
	if r := readBytes(plain, Hints{}); r.Curve != nil || len(r.Claims) > 0 || r.Camera != nil && r.Camera.SetsRead > 0 {
		t.Errorf("%+v", r)
	}
}

// In header metadata the tags of these sets are dynamic: they are not read as if they were fixed.
func TestSetsInHeaderMetadataAreNotRead(t *testing.T) {
	p := build.Partition(build.HeaderPackKey, build.CameraSets(build.SLog3Cine, 800, 0x8000))
	r := readBytes(p, Hints{})
	if r.Curve != nil || r.Camera != nil || len(r.Problems) != 1 {
		t.Errorf("%+v", r)
	}
}

// A set's fill between its neighbours does not part a frame in two.
func TestFillBetweenSets(t *testing.T) {
	lens := build.KLV(build.LensKey, build.Item(0x8000, build.U16(0x8000)))
	camera := build.KLV(build.CameraKey, build.Item(0x810B, build.U16(800)))
	p := build.Join(build.Partition(build.HeaderPackKey, nil), build.KLV(build.SystemKey, make([]byte, 57)), lens,
		build.KLV(build.FillKey, make([]byte, 5)), camera,
		build.KLV(build.PictureKey, make([]byte, 10)))
	c := readBytes(p, Hints{}).Camera
	if c == nil || c.ISO == nil || c.IrisF == nil || c.SetsRead != 1 {
		t.Errorf("%+v", c)
	}
}

// Labels of picture descriptors: those of ST 2115 and private ones are the camera's, HLG and PQ
// are colour tags, BT.709 says nothing.
func TestDescriptorLabels(t *testing.T) {
	for _, c := range []struct {
		label, curve string
		origin       Origin
		claims       int
	}{
		{build.CameraLogS3, "S-Log3", OriginDescriptor, 1},
		{build.CameraLogV, "V-Log", OriginDescriptor, 1},
		{build.SLog3Cine, "S-Log3", OriginDescriptor, 1},
		{build.PublicHLG, "HLG", OriginTransfer, 1},
		{build.PublicBT709, "", "", 0},
		{"060E2B34 0401010D 0E170000 01000000", "", OriginDescriptor, 1},
		{"060E2B34 0401010D 04010101 01330000", "", OriginDescriptor, 1},
	} {
		r := readBytes(build.Partition(build.HeaderPackKey, build.CDCI(c.label, 64, 940, 897)), Hints{})
		switch {
		case len(r.Claims) != c.claims, c.claims > 0 && r.Claims[0].Origin != c.origin:
			t.Errorf("%s: %+v", c.label, r.Claims)
		case (r.Curve != nil) != (c.curve != ""), r.Curve != nil && r.Curve.Curve != c.curve:
			t.Errorf("%s: %+v, want %q", c.label, r.Curve, c.curve)
		case c.claims > 0 && c.curve == "" && len(r.Unknown) != 1:
			t.Errorf("%s: unknown %q", c.label, r.Unknown)
		}
	}
}

// Narrow and full at ten bits: SMPTE ST 377-1 annex F, and FFmpeg, libavformat/mxfdec.c.
func TestDescriptorLevels(t *testing.T) {
	for _, c := range []struct {
		black, white, codes int
		want                string
	}{{64, 940, 897, "narrow"}, {0, 1023, 1023, "full"}, {0, 1023, 1024, "full"}, {64, 940, 1023, ""}, {16, 235, 225,
		""}} {
		l := readBytes(build.Partition(build.HeaderPackKey, build.CDCI(build.PublicBT709, c.black, c.white, c.codes)),
			Hints{}).Levels
		if l == nil || *l != (Levels{10, c.black, c.white, c.codes, c.want}) {
			t.Errorf("got %+v, want %+v", l, c)
		}
	}
	if l := levelsOf(container.Items{0x3301: build.U32(8), 0x3304: build.U32(16), 0x3305: build.U32(235),
		0x3306: build.U32(225)}); l.Value != "narrow" {
		t.Errorf("8 bits: %+v", l)
	}
	if l := levelsOf(container.Items{}); l != nil {
		t.Errorf("from nothing: %+v", l)
	}
}

func TestTruncatedMXF(t *testing.T) {
	sets := build.WorkedSample()[28:]
	for where, carry := range build.Carriers {
		p := build.Join(build.Partition(build.HeaderPackKey, build.CDCI(build.CameraLogS3, 64, 940, 897)),
			build.ContentPackages([][]byte{sets, sets, sets}, carry, 10))
		for n := range p {
			if r := readBytes(p[:n], Hints{}); r.Curve != nil && r.Curve.Curve != "S-Log3" {
				t.Fatalf("%s cut at %d: %+v", where, n, r.Curve)
			}
		}
	}
}

// Levels 1 and 4 of one file disagree.
func TestSetsAgainstDescriptor(t *testing.T) {
	p := build.Join(build.Partition(build.HeaderPackKey, build.CDCI(build.CameraLogV, 64, 940, 897)),
		build.ContentPackages([][]byte{build.WorkedSample()[28:]}, build.Carriers["MXF sets"], 10))
	r := readBytes(p, Hints{})
	if r.Curve != nil || len(r.Conflicts) != 1 || !strings.Contains(r.Conflicts[0], "V-Log") {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}
