package main

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
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
		args          string
		rng, matrix   string // value (origin)
		doubt, doubts string // id and level of the doubt, and what it says
	}{
		{"tagged narrow", "a.mp4", take{}, nil, "", "narrow (tag)", "bt709 (tag)", "", ""},
		{"tagged full", "a.mp4", take{change: full}, nil, "", "full (tag)", "bt709 (tag)", "", ""},
		{"tagged full, HEVC in mov", "a.mov", take{curve: "LogC4", change: full, how: synth.Encoding{Codec: synth.HEVC}}, nil, "", "full (tag)", "bt709 (tag)", "", ""},
		{"full in mxf", "a.mxf", take{curve: "LogC4", change: larger, how: synth.Encoding{Codec: synth.DNxHR}}, nil, "", "full (tag)", "bt709 (tag)", "", ""},
		{"tagged wide", "a.mkv", take{change: wide, how: ffv1}, nil, "", "narrow (tag)", "bt2020 (tag)", "", ""},
		{"tagged old and full", "a.mkv", take{change: old, how: ffv1}, nil, "", "full (tag)", "bt601 (tag)", "", ""},
		{"untagged", "a.mp4", take{how: untagged}, nil, "", "narrow (default)", "bt709 (default)", "", ""},
		{"untagged, of a curve in full range", "a.mp4", take{curve: "ACEScct", change: full, how: untagged}, nil, "", "full (default)", "bt709 (default)", "", ""},
		{"R'G'B'", "a.mkv", take{change: rgb, how: synth.Encoding{Codec: synth.FFV1, Untagged: true}}, nil, "", "full (default)", "bt709 (default)", "", ""},
		{"a codec without a range", "a.mov", take{how: synth.Encoding{Codec: synth.ProRes422, Untagged: true}}, nil, "", "narrow (codec)", "bt709 (default)", "", ""},
		{"named", "a.mp4", take{change: full, how: untagged}, nil, "--range full --matrix bt601", "full (flag)", "bt601 (flag)", "", ""},
		{"named against the tag", "a.mp4", take{curve: "LogC4"}, nil, "--range full --matrix bt2020", "full (flag)", "bt2020 (flag)", "range-doubt note", "read as full range (flag), but the stream says narrow"},
		{"tags agree", "a.mp4", take{how: tagged709}, nil, "", "narrow (tag)", "bt709 (tag)", "", ""},
		{"colr against the stream", "a.mp4", take{how: tagged709}, setFullFlag, "", "narrow (tag)", "bt709 (tag)", "range-doubt caution", "but the container says full"},
		{"colr against the stream, named", "a.mp4", take{how: tagged709}, setFullFlag, "--range narrow", "narrow (flag)", "bt709 (tag)", "range-doubt note", "but the container says full"},
	} {
		t.Run(c.about, func(t *testing.T) {
			if c.take.curve == "" {
				c.take.curve = "S-Log3"
			}
			path := filepath.Join(t.TempDir(), c.file)
			truth := c.take.record(t, path)
			if c.add != nil {
				c.add(t, path)
			}
			clip := auditedClip(t, append(strings.Fields(c.args), "--curve", c.take.curve, "--region", takeCard, path)...)
			if got := clip.Range.Value + " (" + string(clip.Range.Origin) + ")"; got != c.rng {
				t.Errorf("range %s, want %s", got, c.rng)
			}
			if got := clip.Matrix.Value + " (" + string(clip.Matrix.Origin) + ")"; got != c.matrix {
				t.Errorf("matrix %s, want %s", got, c.matrix)
			}
			f, doubted := finding(clip, "range-doubt")
			if doubted != (c.doubt != "") || doubted && string(f.ID)+" "+string(f.Level) != c.doubt || !strings.Contains(f.Text, c.doubts) {
				t.Errorf("doubt %+v, want %q", f, c.doubt)
			}
			if right := math.Abs(float64(clip.Placement.Stops-truth.Placement)) < 0.03; right == (c.about == "named against the tag") {
				t.Errorf("grey at %+.3f stops", clip.Placement.Stops)
			}
		})
	}
}

// setFullFlag sets the flag for full range in the colr box (ISO/IEC 14496-12, 12.1.5: nclx, three
// codes, then the flag in the top bit).
func setFullFlag(t *testing.T, path string) {
	replaceAll(t, path, joined([]byte("nclx"), be16(1), be16(1), be16(1), []byte{0}), joined([]byte("nclx"), be16(1), be16(1), be16(1), []byte{0x80}))
}

// A container's transfer tag that differs from the stream's: the curve rests on it, or it is told.
func TestTransferTagsThatDiffer(t *testing.T) {
	hlg := take{curve: "HLG", how: synth.Encoding{Transfer: "bt709", Primaries: "bt709"}}.file(t, "hlg.mp4")
	replaceAll(t, hlg, joined([]byte("nclx"), be16(1), be16(1)), joined([]byte("nclx"), be16(1), be16(18)))
	clip := auditedClip(t, hlg)
	f, _ := finding(clip, "curve-doubt")
	if clip.Curve.Name != "HLG" || clip.Curve.Origin != "transfer-tag" || f.Level != "caution" || !strings.Contains(f.Text, "arib-std-b67, but the stream says bt709") {
		t.Errorf("curve %+v, doubt %+v", clip.Curve, f)
	}
	clip = auditedClip(t, "--curve", "slog3", hlg)
	if f, _ := finding(clip, "tag-doubt"); f.Level != "note" {
		t.Errorf("findings %+v", clip.Advice.Findings)
	}
	if f, doubted := finding(clip, "curve-doubt"); doubted {
		t.Errorf("a colour tag speaks against a log curve: %+v", f)
	}
}
