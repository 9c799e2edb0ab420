package advise

import (
	"slices"
	"strings"
	"testing"

	"stopledger/analyze/detect"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/metadata"
)

// A doubtful fact raises findings, the first of which says something.
type doubtful struct {
	name  string
	set   func(*Facts)
	id    ID // "" for none
	level Level
	text  string
}

func checkDoubts(t *testing.T, cases []doubtful) {
	t.Helper()
	for _, tc := range cases {
		f := clearFacts(t)
		tc.set(&f)
		found := readingFindings(f)
		checkTexts(t, Advice{Findings: found, Next: NextTake{Text: "."}, Summary: "."})
		switch {
		case tc.id == "" && len(found) > 0:
			t.Errorf("%s: %+v", tc.name, found)
		case tc.id == "":
		case len(found) != 1 || found[0].ID != tc.id || found[0].Level != tc.level:
			t.Errorf("%s: %+v, want %s, %s", tc.name, found, tc.id, tc.level)
		case !strings.Contains(found[0].Text, tc.text):
			t.Errorf("%s: %q lacks %q", tc.name, found[0].Text, tc.text)
		}
	}
}

// TestRangeDoubt: a hundredth of the picture outside narrow range is doubted in a narrow file only.
// Levels below a curve's black count where that black stands over the range's: LogC3 has it at code
// 145 (64 + 876 x 0.0928, the f of its published table at EI 800), BT.709 at 64.
func TestRangeDoubt(t *testing.T) {
	outside := func(s curve.Share, span curve.Range) func(*Facts) {
		return func(f *Facts) { f.Levels, f.Reading.Range = &levels.Result{Outside: s}, span }
	}
	under := func(s curve.Share, name string) func(*Facts) {
		return func(f *Facts) {
			f.Levels, f.Reading.Curve = &levels.Result{UnderZero: s}, testframes.Curve(t, name)
		}
	}
	checkDoubts(t, []doubtful{
		{"no levels", func(*Facts) {}, "", "", ""},
		{"just within", outside(0.01, curve.Narrow), "", "", ""},
		{"outside", outside(0.02, curve.Narrow), RangeDoubt, Caution, "2 % of the picture lies outside the codes of narrow"},
		{"full range has no outside", outside(0.2, curve.Full), "", "", ""},
		{"hardly below black", under(0.01, "LogC3"), "", "", ""},
		{"below black", under(0.03, "LogC3"), RangeDoubt, Caution, "3 % of the picture lies below the curve's black (code "},
		{"below a black of the range", under(0.03, "BT.709"), "", "", ""},
	})
}

// TestDepthDoubt: 8-bit pictures of codes 16 to 235 stored at 10 bits use every fourth code of 877.
func TestDepthDoubt(t *testing.T) {
	depth := func(used, span, bits int, combed bool) func(*Facts) {
		return func(f *Facts) {
			f.Levels, f.Reading.Bits = &levels.Result{Used: used, Span: span, Combed: combed}, bits
		}
	}
	checkDoubts(t, []doubtful{
		{"8 bits in 10", depth(220, 877, 10, true), DepthDoubt, Caution, "Only 220 of the 877 codes"},
		{"8 bits in 12", depth(220, 3505, 12, true), DepthDoubt, Caution, "Only 220 of the 3505 codes"},
		{"8 bits in 8", depth(60, 220, 8, true), "", "", ""},
		{"flat patches", depth(24, 877, 10, false), "", "", ""},
		{"every second code", depth(439, 877, 10, true), "", "", ""},
		{"just under the limit", depth(31, 100, 10, true), "", "", ""},
		{"at the limit", depth(29, 100, 10, true), DepthDoubt, Caution, "Only 29 of the 100"},
		{"too narrow to tell", depth(16, 63, 10, true), "", "", ""},
		{"no picture", depth(0, 0, 10, false), "", "", ""},
	})
}

// TestFileDoubts: two areas that disagree, frames lost, a file cut off, interlace.
func TestFileDoubts(t *testing.T) {
	patches := func(gap curve.Stops) func(*Facts) { return func(f *Facts) { f.Patches = gap } }
	checkDoubts(t, []doubtful{
		{"one area", patches(curve.Unknown[curve.Stops]()), "", "", ""},
		{"agree", patches(0.24), "", "", ""},
		{"agree the other way", patches(-0.24), "", "", ""},
		{"differ", patches(0.26), CurveDoubt, Caution, "differ by +0.26 stops"},
		{"differ the other way", patches(-0.26), CurveDoubt, Caution, "differ by -0.26 stops"},
		{"a frame lost", func(f *Facts) { f.Lost = 1 }, Truncated, Caution, "One frame could not be decoded"},
		{"frames lost", func(f *Facts) { f.Lost = 3 }, Truncated, Caution, "3 frames could not be decoded"},
		{"frames lost at a cut", func(f *Facts) { f.Lost, f.Truncated = 3, true }, Truncated, Caution, "3 frames could"},
		{"cut off", func(f *Facts) { f.Truncated = true }, Truncated, Caution, "The file ends before it says it does"},
		{"format", func(f *Facts) { f.Change = "from 320 x 240 to 640 x 480 after frame 2" }, FormatChange, Caution,
			"The picture changes from 320 x 240 to 640 x 480 after frame 2: the clip is measured up to there."},
		{"bars", func(f *Facts) { f.Overlays = []overlay.Area{{Kind: overlay.Matte}, {Kind: overlay.Matte}} },
			Overlaid, Note, "Black bars lie over the picture"},
		{"a logo", func(f *Facts) { f.Overlays = []overlay.Area{{Kind: overlay.Logo}} },
			Overlaid, Note, "A logo or text lies"},
		{"bars and a logo", func(f *Facts) { f.Overlays = []overlay.Area{{Kind: overlay.Matte}, {Kind: overlay.Logo}} },
			Overlaid, Note, "Black bars and a logo"},
		{"interlaced", func(f *Facts) { f.Interlaced = true }, Interlaced, Note, "two fields are measured as one"},
	})
}

// TestChartDoubt: flare, another curve with and without one that would fit, and neither.
func TestChartDoubt(t *testing.T) {
	chart := func(d *detect.Doubt) func(*Facts) {
		return func(f *Facts) {
			placed(0)(f)
			f.Placement.Method = placement.Chart
			f.Placement.Chart = &detect.Chart{Line: detect.Line{Slope: 1.2, Residual: 0.08}, Doubt: d}
		}
	}
	var fits []detect.ReadingFit
	for _, name := range []string{"LogC3", "V-Log", "S-Log2", "HLG"} {
		fits = append(fits, detect.ReadingFit{Reading: curve.Reading{Curve: testframes.Curve(t, name)}})
	}
	checkDoubts(t, []doubtful{
		{"no doubt", chart(nil), "", "", ""},
		{"flare", chart(&detect.Doubt{Kind: detect.StrayLight, Flare: 0.014}), Flare, Caution, "about 1.4 % of a white's"},
		{"curve", chart(&detect.Doubt{Kind: detect.WrongCurve}), CurveDoubt, Alarm,
			"slope 1.20 instead of 1: the curve or range is probably another."},
		{"one fits", chart(&detect.Doubt{Kind: detect.WrongCurve, Fits: fits[:1]}), CurveDoubt, Alarm,
			"another; LogC3 would fit."},
		{"four fit", chart(&detect.Doubt{Kind: detect.WrongCurve, Fits: fits}), CurveDoubt, Alarm,
			"another; LogC3, V-Log, S-Log2 would fit."},
		{"unclear", chart(&detect.Doubt{Kind: detect.Unclear}), CurveDoubt, Caution, "(0.08 stops off)"},
	})
}

// TestDoubted: what metadata leaves in doubt keeps its name and text.
func TestDoubted(t *testing.T) {
	got := Doubted([]metadata.Doubt{
		{ID: metadata.CurveDoubt, Caution: true, Text: "One."}, {ID: metadata.TagDoubt, Text: "Two."},
	})
	if len(got) != 2 || got[0] != (Finding{CurveDoubt, Caution, "One."}) || got[1] != (Finding{TagDoubt, Note, "Two."}) {
		t.Errorf("%+v", got)
	}
}

// TestNoiseDoubt: tones that fit no sensor are left out, which is a note; the verdict does not open with it, and
// the correction stands.
func TestNoiseDoubt(t *testing.T) {
	f := clearFacts(t)
	clear := Advise(f)
	f.Noise.Doubt = "at 1 of 15 tones the measured noise does not fit the sensor model; no figure is given there"
	a := Advise(f)
	at := slices.IndexFunc(a.Findings, func(found Finding) bool { return found.ID == NoiseDoubt })
	if at < 0 || a.Findings[at].Level != Note || !strings.HasPrefix(a.Findings[at].Text, "At 1 of 15 tones the ") {
		t.Errorf("findings %+v", a.Findings)
	}
	if a.Summary != clear.Summary || a.Action != clear.Action || a.Stops != clear.Stops {
		t.Errorf("%s by %v: %s", a.Action, a.Stops, a.Summary)
	}
}

// TestUnmeasured: where no figure of noise is given because of movement, or of what looks like it, the finding says so.
func TestUnmeasured(t *testing.T) {
	for cause, id := range map[noise.Cause]ID{noise.Motion: NoiseMotion, noise.MotionOrReduction: NoiseReduced} {
		f := clearFacts(t)
		f.Noise.Causes, f.Noise.Unmeasured = []noise.Cause{cause}, "the picture moves"
		want := Finding{id, Caution, "No noise figure is given: the picture moves."}
		if a := Advise(f); !slices.Contains(a.Findings, want) {
			t.Errorf("%s: findings %+v", cause, a.Findings)
		}
	}
}
