package metadata

import (
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

func nclx(primaries, transfer, matrix int, full byte) []byte {
	return build.MP4("colr", []byte("nclx"), build.U16(primaries), build.U16(transfer), build.U16(matrix), []byte{full})
}

func nclc(primaries, transfer, matrix int) []byte {
	return build.MP4("colr", []byte("nclc"), build.U16(primaries), build.U16(transfer), build.U16(matrix))
}

func colour(primaries, transfer, matrix int, name string) *container.Colour {
	return &container.Colour{Primaries: primaries, Transfer: transfer, Matrix: matrix, Range: name}
}

// colr: ISO/IEC 14496-12, 12.1.5, and QuickTime File Format Specification; codes: ITU-T H.273.
func TestColourBoxes(t *testing.T) {
	for _, c := range []struct {
		name   string
		box    []byte
		hints  Hints
		want   *container.Colour
		curve  string
		differ int
	}{
		{"narrow", nclx(9, 18, 9, 0), Hints{}, colour(9, 18, 9, "narrow"), "HLG", 0},
		{"full", nclx(9, 16, 9, 0x80), Hints{}, colour(9, 16, 9, "full"), "PQ", 0},
		{"QuickTime", nclc(1, 1, 1), Hints{}, colour(1, 1, 1, ""), "", 0},
		{"profile", build.MP4("colr", []byte("prof"), make([]byte, 20)), Hints{}, nil, "", 0},
		{"cut off", build.MP4("colr", []byte("nclx"), build.U16(9)), Hints{}, nil, "", 0},
		{"agrees", nclx(9, 18, 9, 0), Hints{Transfer: "arib-std-b67", Primaries: "bt2020"}, colour(9, 18, 9, "narrow"),
			"HLG", 0},
		{"stream only", nil, Hints{Transfer: "smpte2084"}, nil, "PQ", 0},
		{"a plain logarithm is no camera's", nclx(9, 9, 9, 0), Hints{Transfer: "log100"}, colour(9, 9, 9, "narrow"), "", 0},
		{"unspecified against a name", nclx(9, 2, 9, 0), Hints{Transfer: "bt709"}, colour(9, 2, 9, "narrow"), "", 0},
		{"primaries differ", nclx(9, 2, 9, 0), Hints{Transfer: "bt709", Primaries: "bt709"}, colour(9, 2, 9, "narrow"),
			"", 1},
		{"standard range container around PQ", nclx(1, 1, 1, 0), Hints{Transfer: "smpte2084", Primaries: "bt2020"},
			colour(1, 1, 1, "narrow"), "PQ", 2},
		{"HLG around PQ", nclx(9, 18, 9, 0), Hints{Transfer: "smpte2084", Primaries: "bt2020"},
			colour(9, 18, 9, "narrow"), "", 1},
		{"a code without a name", nclx(9, 77, 9, 0), Hints{Transfer: "bt709"}, colour(9, 77, 9, "narrow"), "", 1},
	} {
		r := readBytes(build.Clip(build.VisualTrack(c.box)), c.hints)
		switch {
		case (r.Colour == nil) != (c.want == nil), r.Colour != nil && *r.Colour != *c.want:
			t.Errorf("%s: got %+v, want %+v", c.name, r.Colour, c.want)
		case (r.Curve == nil) != (c.curve == ""), r.Curve != nil && (r.Curve.Curve != c.curve ||
			r.Curve.Origin != OriginTransfer):
			t.Errorf("%s: curve %+v, want %q", c.name, r.Curve, c.curve)
		case len(r.TagsDiffer) != c.differ, (len(r.Conflicts) > 0) != (c.name == "HLG around PQ"):
			t.Errorf("%s: differences %q, conflicts %q", c.name, r.TagsDiffer, r.Conflicts)
		}
	}
}

// Log clips usually carry the tags of BT.709: that is no evidence against what the camera says.
func TestTagsDoNotSpeakAgainstALog(t *testing.T) {
	p := build.Clip(build.VisualTrack(nclx(1, 1, 1, 0), build.MP4("logs", []byte("com.apple.rec2020.apple-log"))))
	r := readBytes(p, Hints{Transfer: "bt709", Primaries: "bt709"})
	if r.Curve == nil || r.Curve.Curve != "Apple Log" || len(r.Conflicts) > 0 {
		t.Errorf("%+v, %q", r.Curve, r.Conflicts)
	}
}
