package metadata

import (
	"bytes"
	"slices"
	"strings"
	"testing"
)

// contentPackages are frames of a system item, what carries the settings, and a picture.
func contentPackages(frames [][]byte, carry func([]byte) []byte, pictureBytes int) []byte {
	var body []byte
	for _, f := range frames {
		body = append(body, join(carry(f), klv(pictureKey, make([]byte, pictureBytes)), klv(fillKey, make([]byte, 20)))...)
	}
	return body
}

// The ways in which sets are carried: SMPTE metadata registers, Groups.xml (system item);
// MediaInfoLib (top level); telemetry-parser (ancillary data).
var carriers = map[string]func([]byte) []byte{
	"MXF sets": func(sets []byte) []byte { return join(klv(systemKey, make([]byte, 57)), sets) },
	"MXF system item": func(sets []byte) []byte {
		return klv(systemKey, make([]byte, 57), unhex("060E2B34 01020304 05060708 090A0B0C"), sets)
	},
	"MXF ancillary data": func(sets []byte) []byte {
		return join(klv(systemKey, make([]byte, 57)), klv(ancillaryVANC, ancillary(pieces(sets)...)))
	},
}

func TestMXFCarriage(t *testing.T) {
	sets := workedSample(t)[28:]
	for where, carry := range carriers {
		header := partition(headerPackKey, cdci(publicBT709, 64, 940, 897))
		p := join(header, partition(bodyPackKey, nil), contentPackages([][]byte{sets, sets, sets}, carry, 100))
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
		frames = append(frames, cameraSets(slog3Cine, iso, iris))
	}
	want := []string{"ISO 800 at first, ISO 800 at last, from ISO 800 to ISO 6400 in between",
		"iris F16.0 at first, iris F11.3 at last"}
	for where, carry := range carriers {
		p := join(partition(headerPackKey, nil), contentPackages(frames, carry, 70000))
		r := readBytes(p, Hints{})
		if r.Camera == nil || !slices.Equal(r.Camera.Changes, want) || r.Camera.SetsRead != headFrames+laterPlaces {
			t.Errorf("%s: %+v", where, r.Camera)
		}
	}
}

func TestMXFRunInAndPlainFiles(t *testing.T) {
	p := join(partition(headerPackKey, nil), contentPackages([][]byte{workedSample(t)[28:]}, carriers["MXF sets"], 10))
	if r := readBytes(join(make([]byte, 1000), p), Hints{}); r.Curve == nil {
		t.Error("a run-in hides the file")
	}
	plain := join(partition(headerPackKey, cdci(publicBT709, 64, 940, 897)),
		contentPackages([][]byte{nil, nil}, func([]byte) []byte { return klv(systemKey, make([]byte, 57)) }, 10))
	if r := readBytes(plain, Hints{}); r.Curve != nil || len(r.Claims) > 0 || r.Camera != nil && r.Camera.SetsRead > 0 {
		t.Errorf("%+v", r)
	}
}

// In header metadata the tags of these sets are dynamic: they are not read as if they were fixed.
func TestSetsInHeaderMetadataAreNotRead(t *testing.T) {
	p := partition(headerPackKey, cameraSets(slog3Cine, 800, 0x8000))
	r := readBytes(p, Hints{})
	if r.Curve != nil || r.Camera != nil || len(r.Problems) != 1 {
		t.Errorf("%+v", r)
	}
}

// A set's fill between its neighbours does not part a frame in two.
func TestFillBetweenSets(t *testing.T) {
	lens := klv(lensKey, item(0x8000, u16(0x8000)))
	camera := klv(cameraKey, item(0x810B, u16(800)))
	p := join(partition(headerPackKey, nil), klv(systemKey, make([]byte, 57)), lens, klv(fillKey, make([]byte, 5)), camera,
		klv(pictureKey, make([]byte, 10)))
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
		{cameraLogS3, "S-Log3", OriginDescriptor, 1},
		{cameraLogV, "V-Log", OriginDescriptor, 1},
		{slog3Cine, "S-Log3", OriginDescriptor, 1},
		{publicHLG, "HLG", OriginTransfer, 1},
		{publicBT709, "", "", 0},
		{"060E2B34 0401010D 0E170000 01000000", "", OriginDescriptor, 1},
		{"060E2B34 0401010D 04010101 01330000", "", OriginDescriptor, 1},
	} {
		r := readBytes(partition(headerPackKey, cdci(c.label, 64, 940, 897)), Hints{})
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
		l := readBytes(partition(headerPackKey, cdci(publicBT709, c.black, c.white, c.codes)), Hints{}).Levels
		if l == nil || *l != (Levels{10, c.black, c.white, c.codes, c.want}) {
			t.Errorf("got %+v, want %+v", l, c)
		}
	}
	if l := (items{0x3301: u32(8), 0x3304: u32(16), 0x3305: u32(235), 0x3306: u32(225)}).levels(); l.Value != "narrow" {
		t.Errorf("8 bits: %+v", l)
	}
	if l := (items{}).levels(); l != nil {
		t.Errorf("from nothing: %+v", l)
	}
}

// SMPTE ST 436: other packets are passed over, pieces are joined in order, padding is left out.
func TestAncillaryPackets(t *testing.T) {
	sets := bytes.Repeat([]byte("0123456789"), 77)
	if got := ancillarySets(ancillary(pieces(sets)...)); !bytes.Equal(got, sets) {
		t.Errorf("joined %d bytes, want %d", len(got), len(sets))
	}
	p := ancillary(pieces(sets)...)
	for n := range p {
		if got := ancillarySets(p[:n]); !bytes.HasPrefix(sets, got[:max(0, len(got)-4)]) {
			t.Fatalf("cut at %d: %d bytes that do not belong", n, len(got))
		}
	}
	huge := join(u16(1), u16(9), []byte{1, 4}, u16(4), u32(-1), u32(-1), []byte{0x43, 5, 255, 1, 7})
	if got := ancillarySets(huge); !bytes.Equal(got, []byte{7}) {
		t.Errorf("a size past the end: % X", got)
	}
}

func TestTruncatedMXF(t *testing.T) {
	sets := workedSample(t)[28:]
	for where, carry := range carriers {
		p := join(partition(headerPackKey, cdci(cameraLogS3, 64, 940, 897)),
			contentPackages([][]byte{sets, sets, sets}, carry, 10))
		for n := range p {
			if r := readBytes(p[:n], Hints{}); r.Curve != nil && r.Curve.Curve != "S-Log3" {
				t.Fatalf("%s cut at %d: %+v", where, n, r.Curve)
			}
		}
	}
}

// Levels 1 and 4 of one file disagree.
func TestSetsAgainstDescriptor(t *testing.T) {
	p := join(partition(headerPackKey, cdci(cameraLogV, 64, 940, 897)),
		contentPackages([][]byte{workedSample(t)[28:]}, carriers["MXF sets"], 10))
	r := readBytes(p, Hints{})
	if r.Curve != nil || len(r.Conflicts) != 1 || !strings.Contains(r.Conflicts[0], "V-Log") {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}
