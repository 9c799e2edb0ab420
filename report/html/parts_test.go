package html

import (
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// A frame turned clockwise shows its left lower corner at the left top: by hand, for a frame of
// 7 x 5 pixels.
func TestTurnedPoint(t *testing.T) {
	for deg, want := range map[int][2][2]int{
		0: {{2, 1}, {0, 5}}, 90: {{4, 2}, {0, 0}}, 180: {{5, 4}, {7, 0}}, 270: {{1, 5}, {5, 7}}, 45: {{2, 1}, {0, 5}},
	} {
		c := &report.Clip{File: report.File{Width: 7, Height: 5, Rotation: deg}}
		for i, from := range [][2]int{{2, 1}, {0, 5}} {
			if x, y := turnedPoint(c, from[0], from[1]); x != want[i][0] || y != want[i][1] {
				t.Errorf("%d degrees: %v is seen at %d,%d, want %v", deg, from, x, y, want[i])
			}
		}
		w, h := seenSize(c)
		if upright := deg != 90 && deg != 270; upright != (w == 7 && h == 5) {
			t.Errorf("%d degrees: seen as %d x %d", deg, w, h)
		}
	}
}

// Grey's outline is its corners, or else its region; what was carried over lies in another clip.
func TestGreyOutline(t *testing.T) {
	c := &report.Clip{File: report.File{Width: 100, Height: 50}}
	if got := greyOutline(c); got != "" {
		t.Errorf("without grey: %s", got)
	}
	c.Placement = &placement.Placement{Region: &geometry.Rect{X: 10, Y: 20, W: 5, H: 6}}
	if got := greyOutline(c); got != "10,20 15,20 15,26 10,26" {
		t.Errorf("a region: %s", got)
	}
	c.Placement.Corners = [][2]int{{1, 2}, {3, 4}, {5, 6}}
	if got := greyOutline(c); got != "1,2 3,4 5,6" {
		t.Errorf("corners: %s", got)
	}
	c.Placement.Carried = "other.mov"
	if got := greyOutline(c); got != "" {
		t.Errorf("carried over: %s", got)
	}
}

// Positions on an axis are percent of its width, and what lies beyond stands at its end.
func TestAxis(t *testing.T) {
	a := axis{-8, 8}
	for stops, want := range map[float64]float64{-8: 0, 0: 50, 4: 75, 8: 100, -9: 0, 20: 100} {
		if got := a.at(stops); got != want {
			t.Errorf("%g stops lie at %g %%, want %g", stops, got, want)
		}
	}
	ticks := a.ticks()
	if len(ticks) != 17 || ticks[0].Anchor != "start" || ticks[8].Words != "0" || ticks[9].Words != "+1" ||
		ticks[16].Anchor != "end" {
		t.Errorf("ticks %v", ticks)
	}
	if !ticks[1].Odd || ticks[2].Odd {
		t.Error("odd stops are not those left out where there is little room")
	}
}

// The ruler holds floor, ceiling and grey, and each half stop is as bright as the display shows it:
// 0.18 shows as 125 of 255, 0.18^(1/2.4) x 255 = 124.8.
func TestRuler(t *testing.T) {
	c := &report.Clip{Advice: advise.Advice{Action: advise.Pull, Stops: 2}}
	c.Noise.Floor = -9.12
	c.Highlights.Ceiling = clipping.Ceiling{Recorded: 5.9, Origin: clipping.Measured}
	c.Placement = &placement.Placement{Stops: 2, Low: 1.9, High: 2.1}
	r := newRuler(c)
	if low, high := rulerScale(c).low, rulerScale(c).high; low != -10 || high != 7 {
		t.Fatalf("it spans %g to %g", low, high)
	}
	if len(r.Wedges) != 2 || len(r.Wedges[0].Cells) != 34 || r.Wedges[1].Caption != "after a pull of 2.0\u00a0stops" {
		t.Fatalf("wedges %+v", r.Wedges)
	}
	recorded, pulled := r.Wedges[0].Cells, r.Wedges[1].Cells
	for i := range 30 { // two stops are four cells
		if pulled[i+4].Grey != recorded[i].Grey {
			t.Errorf("cell %d shows %d after the pull, want %d", i+4, pulled[i+4].Grey, recorded[i].Grey)
		}
	}
	below, above := recorded[19].Grey, recorded[20].Grey // a quarter of a stop to either side of nominal
	if want := 255 * math.Pow(0.18*math.Exp2(-0.25), 1/2.4); math.Abs(float64(below)-want) > 0.5 || below >= 125 ||
		above <= 125 {
		t.Errorf("around nominal lie %d and %d, want %.1f below", below, above, want)
	}
	if r.Grey.Words != "grey +2.0\u00a0stops" || r.Grey.Anchor != "end" || r.Grey.X != rulerScale(c).at(2) ||
		r.Span == nil {
		t.Errorf("grey %+v", r.Grey)
	}
	if !strings.HasSuffix(r.Says, "Grey at +2.0\u00a0stops. Ceiling at +5.9\u00a0stops.") {
		t.Errorf("says %q", r.Says)
	}
	for _, tick := range r.Ticks { // where a bound's line runs no words stand
		if tick.Words != "" && (math.Abs(tick.X-r.Floor.X) < 1.4 || math.Abs(tick.X-r.Ceiling.X) < 1.4) {
			t.Errorf("%q stands at %g, a bound at %g or %g", tick.Words, tick.X, r.Floor.X, r.Ceiling.X)
		}
	}
	c.Highlights.Ceiling.Recorded = curve.Stops(math.NaN())
	if newRuler(c) != nil {
		t.Error("without a ceiling there is a ruler")
	}
}

// The gauge has one scale, 11 pixels to the stop from -8; what lies beyond stands at its end.
func TestGauge(t *testing.T) {
	c := &report.Clip{Placement: &placement.Placement{Stops: 1, Low: 0.5, High: 20, Weak: true}}
	c.Noise.Floor, c.Highlights.Ceiling.Recorded = -7, 6
	got := string(gauge(c))
	for _, want := range []string{`class="under" width="11"`, `class="over" x="154" width="22"`, `d="M93.5 8.5H176"`,
		`class="value weak" d="M99 2.5`} {
		if !strings.Contains(got, want) {
			t.Errorf("no %s in %s", want, got)
		}
	}
}

// Each clip is counted once, in its quarter stop; those without grey are told apart.
func TestSpread(t *testing.T) {
	var landed, one landing
	for _, stops := range []float64{1.3, 1.2, -0.1, 40, math.NaN()} {
		landed.add(&placement.Placement{Stops: curve.Stops(stops)})
	}
	landed.add(nil)
	one.add(&placement.Placement{Stops: 1.3})
	v := landed.spread()
	counts := map[int]int{}
	for _, column := range v.Columns {
		counts[column.Count]++
	}
	if v.Without != 2 || len(v.Columns) != 3 || counts[2] != 1 || counts[1] != 2 {
		t.Errorf("columns %+v, %d without", v.Columns, v.Without)
	}
	if one.spread() != nil {
		t.Error("one clip is spread")
	}
}

func TestTotals(t *testing.T) {
	clip := func(action advise.Action, stops curve.Stops, levels ...advise.Level) report.Clip {
		c := report.Clip{Advice: advise.Advice{Action: action, Stops: stops}}
		for _, l := range levels {
			c.Advice.Findings = append(c.Advice.Findings, advise.Finding{Level: l})
		}
		return c
	}
	hold, alarm, caution := clip(advise.Hold, 0), clip(advise.Pull, 1.3, advise.Note, advise.Alarm), clip(advise.Lift,
		0.4, advise.Caution)
	for _, test := range []struct {
		clips          []report.Clip
		failed         int
		headline, rest string
	}{
		{nil, 0, "No clip was measured", ""},
		{nil, 2, "No clip was measured: 2 could not be", ""},
		{[]report.Clip{hold}, 0, "1 clip measured, none to check by eye", ""},
		{[]report.Clip{alarm}, 0, "Check the clip by eye", "1 to pull by 1.3\u00a0stops."},
		{[]report.Clip{hold, hold}, 1, "2 clips measured; 1 more could not be measured", ""},
		{[]report.Clip{alarm, caution}, 0, "Check 1 of 2 clips by eye",
			"1 more is worth a look. 1 to pull by 1.3\u00a0stops, 1 to lift by 0.4\u00a0stops."},
		{[]report.Clip{alarm, clip(advise.Pull, 2.6, advise.Alarm), caution, caution}, 0, "Check 2 of 4 clips by eye",
			"2 more are worth a look. 2 to pull by 1.3 to 2.6\u00a0stops, 2 to lift by 0.4\u00a0stops."},
	} {
		var all totals
		for i := range test.clips {
			all.add(&test.clips[i])
		}
		headline, rest := all.words(&report.Document{Failed: make([]report.Failure, test.failed)})
		if headline != test.headline || rest != test.rest {
			t.Errorf("got %q, %q\nwant %q, %q", headline, rest, test.headline, test.rest)
		}
	}
}

// The headline counts whatever has no figures.
func TestHeadlineCountsWhatHasNoFigures(t *testing.T) {
	doc := &report.Document{NotReached: make([]string, 4), Skipped: make([]report.Skip, 2)}
	for _, test := range []struct {
		clips, alarms, failed int
		want                  string
	}{
		{9, 3, 1, "Check 3 of 9 clips by eye; 1 more could not be measured, 4 not reached, 2 skipped"},
		{9, 0, 0, "9 clips measured; 4 not reached, 2 skipped"},
		{0, 0, 1, "No clip was measured: 1 could not be, 4 not reached, 2 skipped"},
	} {
		doc.Failed = make([]report.Failure, test.failed)
		if got := headline(test.clips, test.alarms, doc); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

// What was skipped is counted after the clips, and a page lists at most a hundred of a kind, each
// without controls.
func TestSkippedOnPages(t *testing.T) {
	doc := &report.Document{Complete: true}
	for i := range 103 {
		doc.Skipped = append(doc.Skipped, report.Skip{Path: fmt.Sprintf("a\x1b%d.R3D", i), Kind: report.SkipNotRead})
	}
	doc.Skipped = append(doc.Skipped, report.Skip{Path: "p.mov", Kind: report.SkipProxy, Reason: "a proxy of q.mov"})
	if _, rest := new(totals).words(doc); rest != "103 files not read (.r3d), 1 skipped." {
		t.Errorf("counted as %q", rest)
	}
	got := newSkipped(doc.Skipped)
	if len(got) != 2 || len(got[0].Files) != 100 || got[0].More != "and 3 more, each named in audit.json" ||
		got[0].Files[0].Path != `a\x1b0.R3D` || got[1].More != "" {
		t.Errorf("got %d groups, the first %q with %d files, %q", len(got), got[0].Head, len(got[0].Files), got[0].More)
	}
}

// A strip is told with the document's SNR and noise, and with no figure where the recording hides it.
func TestStripWords(t *testing.T) {
	c := &reporttest.Shoot(t).Clips[0] // to be pulled by 1.31 stops
	c.Noise.Graded = []advise.Graded{{Stops: 2, Tones: []advise.GradedTone{{Scene: -4, SigmaL: 1.26}}}}
	for stops, want := range map[curve.Stops]string{0: "as recorded", -1.31: "after a pull of 1.31 stops",
		2: "lifted 2 stops", -3: "pulled 3 stops"} {
		if got := stripWords(report.Strip{Stops: stops}, c); got != want {
			t.Errorf("%v: %q, want %q", stops, got, want)
		}
	}
	s := report.Strip{Stops: 2, SNR: 26.44, Region: geometry.Rect{X: 1, Y: 2, W: 64, H: 32}, Frames: 8}
	if snr, grain := stripSNR(s, c), stripGrain(s, c); snr != "26.4\u00a0dB" ||
		grain != "noise ±1.3 of 100 in lightness" {
		t.Errorf("%q, %q", snr, grain)
	}
	v := stripView{Words: "lifted", SNR: "20.0 dB", Grain: "noise"}
	if got := fmt.Sprint(v.Lead(), v.Notes()); got != "noise[lifted 20.0 dB]" {
		t.Errorf("with noise it says %s", got)
	}
	v.Grain = ""
	if got := fmt.Sprint(v.Lead(), v.Notes()); got != "lifted[20.0 dB]" {
		t.Errorf("without noise it says %s", got)
	}
	if got := stripPlace(s); got != "64 × 32\u00a0px at 1, 2, 8 consecutive frames" {
		t.Error(got)
	}
	s.SNR = curve.Decibels(math.NaN())
	if got := stripSNR(s, c); got != "" {
		t.Errorf("an SNR that is not known is %q", got)
	}
	c.Noise.Suppressed = true
	if snr, grain := stripSNR(s, c), stripGrain(s, c); !strings.HasSuffix(snr, "no figure given") || grain != "" {
		t.Errorf("%q, %q", snr, grain)
	}
}

// Many clips to check by eye do not push the table off the page.
func TestCardsAreFew(t *testing.T) {
	dir := t.TempDir()
	doc := reporttest.Shoot(t)
	for range 20 {
		doc.Clips = append(doc.Clips, doc.Clips[1])
	}
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	page := written(t, dir, report.IndexPage)
	if n := strings.Count(page, `<li class="card">`); n != cardsShown || !strings.Contains(page,
		"more are in the table below") {
		t.Errorf("%d cards", n)
	}
}

// A word is as a POSIX shell takes it: in single quotes where it holds anything but letters, digits and a few
// signs, a quote closed, escaped and opened again (IEEE Std 1003.1, Shell Command Language, 2.2.2).
func TestShellWord(t *testing.T) {
	for word, want := range map[string]string{
		"a/b_1-2.mov": "a/b_1-2.mov", "": "''", "two words.mov": "'two words.mov'", "it's": `'it'\''s'`,
		"$(rm -rf x)": "'$(rm -rf x)'", "a;b": "'a;b'", "день.mov": "'день.mov'", "a\x1bb": "CLIP", "a\nb": "CLIP",
	} {
		if got := shellWord(word); got != want {
			t.Errorf("%q is %s, want %s", word, got, want)
		}
	}
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("sh is not installed")
	}
	for _, word := range []string{"it's $HOME `x` \"y\" \\ *.mov", "'", "''", "a  b"} {
		out, err := exec.Command(sh, "-c", "printf %s "+shellWord(word)).Output()
		if err != nil || string(out) != word {
			t.Errorf("a shell reads %q as %q: %v", word, out, err)
		}
	}
}

// The command names again what the user named for the clip to be read by, and no path is taken for a flag.
func TestAuditCommand(t *testing.T) {
	c := &report.Clip{File: report.File{Path: "-day 1.mov"}}
	command, path := auditCommand(c, metadata.ReadAs{})
	if command != "stopledger audit" || path != "'./-day 1.mov'" {
		t.Errorf("%q, %q", command, path)
	}
	read := metadata.ReadAs{Curve: metadata.CurveName{Given: "S-Log3"}, Range: metadata.FullRange,
		Matrix: metadata.BT2020, Index: 800}
	if got, _ := auditCommand(c, read); got != "stopledger audit --curve S-Log3 --range full --matrix bt2020 --ei 800" {
		t.Errorf("%q", got)
	}
	if got, _ := auditCommand(c, metadata.ReadAs{Assume: metadata.AssumedName{Given: "a b.clf"}}); got !=
		"stopledger audit --assume 'a b.clf'" {
		t.Errorf("%q", got)
	}
}

// Areas that may be grey are told with their --region; faces, and what was seen in another clip, are not.
func TestCandidates(t *testing.T) {
	area := &geometry.Rect{X: 1, Y: 2, W: 30, H: 40}
	c := &report.Clip{Placement: &placement.Placement{Candidates: []placement.Candidate{
		{Method: placement.Card, Stops: 0.5, Region: area}, {Method: placement.Card}, {Method: placement.Face, Region: area},
	}}}
	if got := candidates(c); len(got) != 1 || got[0].Region != "1,2,30,40" || got[0].Words != "card, +0.50\u00a0stops" {
		t.Errorf("candidates %+v", got)
	}
	c.Placement.Carried = "other.mov"
	if got := candidates(c); len(got) != 0 || len(candidates(&report.Clip{})) != 0 {
		t.Errorf("of another clip: %+v", got)
	}
}

// Tones to be looked up are recorded ones, with null for what is not known, and none where noise is hidden.
func TestTonesShown(t *testing.T) {
	c := &report.Clip{Placement: &placement.Placement{Stops: 1.5}}
	c.Noise.Graded = []advise.Graded{{Stops: 0, Tones: []advise.GradedTone{{Scene: -4, SigmaL: 1.26, SNR: 20.5},
		{Scene: -3, SigmaL: 1, SNR: curve.Unknown[curve.Decibels]()}}}}
	if got := tonesShown(c, 0); got != "[[-2.5,1.26,20.5],[-1.5,1,null]]" {
		t.Errorf("tones %s", got)
	}
	c.Noise.Suppressed = true
	if got := tonesShown(c, 0); got != "[]" {
		t.Errorf("where noise is hidden: %s", got)
	}
}

// Words of grey and ceiling keep clear of each other, and their lines stay where the levels are.
func TestWaveformWordsKeepApart(t *testing.T) {
	for _, levels := range [][2]curve.Percent{{60, 61}, {61, 60}, {60, 60}, {90, 40}} {
		w := &waveform{}
		w.mark(20, "20 %", "")
		w.mark(levels[0], "ceiling", "ceiling")
		w.mark(levels[1], "grey", "grey")
		before := [2]float64{w.Lines[1].Y, w.Lines[2].Y}
		w.keepApart()
		if gap := math.Abs(w.Lines[1].At - w.Lines[2].At); gap < 7.98 {
			t.Errorf("%v: words are %.2f apart", levels, gap)
		}
		if w.Lines[1].Y != before[0] || w.Lines[2].Y != before[1] {
			t.Errorf("%v: a line moved", levels)
		}
		if (levels[0] > levels[1]) != (w.Lines[1].At < w.Lines[2].At) && levels[0] != levels[1] {
			t.Errorf("%v: the words changed places", levels)
		}
	}
}
