package metadata_test

import (
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
)

// Range and matrix of a clip, with where each comes from.
func TestRangeAndMatrix(t *testing.T) {
	full := func(c *synth.Camera) { c.Range = curve.Full }
	larger := func(c *synth.Camera) { c.Range, c.Width, c.Height = curve.Full, 256, 128 } // DNxHR has a least size
	wide := func(c *synth.Camera) { c.Matrix = curve.BT2020 }
	old := func(c *synth.Camera) { c.Matrix, c.Range = curve.BT601, curve.Full }
	rgb := func(c *synth.Camera) { c.Sampling, c.Range = synth.RGB, curve.Full }
	untagged := synth.Encoding{Untagged: true}
	ffv1 := synth.Encoding{Codec: synth.FFV1}
	tagged709 := synth.Encoding{Transfer: "bt709", Primaries: "bt709"}
	for _, c := range []struct {
		about, file   string
		take          take
		add           func(*testing.T, string)
		asked         metadata.ReadAs
		rng, matrix   string // value (origin)
		doubt, doubts string // id and level of the doubt, and what it says
	}{
		{"tagged narrow", "a.mp4", take{}, nil, metadata.ReadAs{}, "narrow (tag)", "bt709 (tag)", "", ""},
		{"tagged full", "a.mp4", take{change: full}, nil, metadata.ReadAs{}, "full (tag)", "bt709 (tag)", "", ""},
		{"tagged full, HEVC in mov", "a.mov", take{curve: "LogC4", change: full, how: synth.Encoding{Codec: synth.HEVC}},
			nil, metadata.ReadAs{}, "full (tag)", "bt709 (tag)", "", ""},
		{"full in mxf", "a.mxf", take{curve: "LogC4", change: larger, how: synth.Encoding{Codec: synth.DNxHR}}, nil,
			metadata.ReadAs{}, "full (tag)", "bt709 (tag)", "", ""},
		{"tagged wide", "a.mkv", take{change: wide, how: ffv1}, nil, metadata.ReadAs{}, "narrow (tag)", "bt2020 (tag)",
			"", ""},
		{"tagged old and full", "a.mkv", take{change: old, how: ffv1}, nil, metadata.ReadAs{}, "full (tag)",
			"bt601 (tag)", "", ""},
		{"untagged", "a.mp4", take{how: untagged}, nil, metadata.ReadAs{}, "narrow (default)", "bt709 (default)", "", ""},
		{"untagged, of a curve in full range", "a.mp4", take{curve: "ACEScct", change: full, how: untagged}, nil,
			metadata.ReadAs{}, "full (default)", "bt709 (default)", "", ""},
		{"R'G'B'", "a.mkv", take{change: rgb, how: synth.Encoding{Codec: synth.FFV1, Untagged: true}}, nil,
			metadata.ReadAs{}, "full (default)", "bt709 (default)", "", ""},
		{"a codec without a range", "a.mov", take{how: synth.Encoding{Codec: synth.ProRes422, Untagged: true}}, nil,
			metadata.ReadAs{}, "narrow (codec)", "bt709 (default)", "", ""},
		{"named", "a.mp4", take{change: full, how: untagged}, nil,
			metadata.ReadAs{Range: metadata.FullRange, Matrix: metadata.BT601}, "full (flag)", "bt601 (flag)", "", ""},
		{"named against the tag", "a.mp4", take{curve: "LogC4"}, nil,
			metadata.ReadAs{Range: metadata.FullRange,
				Matrix: metadata.BT2020}, "full (flag)", "bt2020 (flag)", "range-doubt note",
			"read as full range (flag), but the stream says narrow"},
		{"tags agree", "a.mp4", take{how: tagged709}, nil, metadata.ReadAs{}, "narrow (tag)", "bt709 (tag)", "", ""},
		{"colr against the stream", "a.mp4", take{how: tagged709}, setFullFlag, metadata.ReadAs{}, "narrow (tag)",
			"bt709 (tag)", "range-doubt caution", "but the container says full"},
		{"colr against the stream, named", "a.mp4", take{how: tagged709}, setFullFlag,
			metadata.ReadAs{Range: metadata.NarrowRange}, "narrow (flag)", "bt709 (tag)", "range-doubt note",
			"but the container says full"},
	} {
		t.Run(c.about, func(t *testing.T) {
			if c.take.curve == "" {
				c.take.curve = "S-Log3"
			}
			path := c.take.file(t, c.file)
			if c.add != nil {
				c.add(t, path)
			}
			c.asked.Curve.Curve = curveNamed(t, c.take.curve)
			got := settled(t, path, c.asked)
			if is := got.Range.Value + " (" + string(got.Range.Origin) + ")"; is != c.rng {
				t.Errorf("range %s, want %s", is, c.rng)
			}
			if is := got.MatrixFrom.Value + " (" + string(got.MatrixFrom.Origin) + ")"; is != c.matrix {
				t.Errorf("matrix %s, want %s", is, c.matrix)
			}
			if got.Matrix.Name != got.MatrixFrom.Value || string(metadata.NameOf(got.Reading.Range)) != got.Range.Value {
				t.Errorf("read as %s and %v, told %s and %s", got.Matrix.Name, got.Reading.Range, got.MatrixFrom, got.Range)
			}
			d := doubt(got, metadata.RangeDoubt)
			if level := map[bool]string{true: "caution",
				false: "note"}[d.Caution]; d.ID != "" && string(d.ID)+" "+level != c.doubt ||
				d.ID == "" && c.doubt != "" || !strings.Contains(d.Text, c.doubts) {
				t.Errorf("doubt %+v, want %q", d, c.doubt)
			}
		})
	}
}

// setFullFlag sets the flag for full range in the colr box (ISO/IEC 14496-12, 12.1.5: nclx, three
// codes, then the flag in the top bit).
func setFullFlag(t *testing.T, path string) {
	build.ReplaceAll(t, path, build.Join([]byte("nclx"), build.U16(1), build.U16(1), build.U16(1), []byte{0}),
		build.Join([]byte("nclx"), build.U16(1), build.U16(1), build.U16(1), []byte{0x80}))
}

// A container's transfer tag that differs from the stream's: the curve rests on it, or it is told.
func TestTransferTagsThatDiffer(t *testing.T) {
	hlg := take{curve: "HLG", how: synth.Encoding{Transfer: "bt709", Primaries: "bt709"}}.file(t, "hlg.mp4")
	build.ReplaceAll(t, hlg, build.Join([]byte("nclx"), build.U16(1), build.U16(1)),
		build.Join([]byte("nclx"), build.U16(1), build.U16(18)))
	got := settled(t, hlg, metadata.ReadAs{})
	d := doubt(got, metadata.CurveDoubt)
	if got.Reading.Curve.Name != "HLG" || got.CurveOrigin != metadata.OriginTransfer || !d.Caution ||
		!strings.Contains(d.Text, "arib-std-b67, but the stream says bt709") {
		t.Errorf("%s from %s, doubt %+v", got.Reading.Curve.Name, got.CurveOrigin, d)
	}
	got = settled(t, hlg, as(t, "slog3", 0))
	if d := doubt(got, metadata.TagDoubt); d.Caution || d.Text == "" {
		t.Errorf("doubts %+v", got.Doubts)
	}
	if d := doubt(got, metadata.CurveDoubt); d.Text != "" {
		t.Errorf("a colour tag speaks against a log curve: %+v", d)
	}
}
