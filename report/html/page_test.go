package html

import (
	"crypto/sha256"
	"encoding/base64"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/placement"
	"stopledger/analyze/rule"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// The policy of every page allows the script that is on it, by its hash, and nothing from a network.
// The hash is worked here from the page as a browser would: SHA-256 of the element's text (Content
// Security Policy Level 3, section 2.3.1).
func TestPolicyAllowsThePagesScript(t *testing.T) {
	dir, doc := t.TempDir(), reporttest.Shoot(t)
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	if err := WriteComparison(dir, reporttest.ShootTakes(t, doc, 2)); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{report.IndexPage, report.ComparePage, report.ClipPage(doc.Clips[0].Path)} {
		page := written(t, dir, name)
		scripts := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindAllStringSubmatch(page, -1)
		if len(scripts) != 1 {
			t.Fatalf("%s has %d scripts", name, len(scripts))
		}
		sum := sha256.Sum256([]byte(scripts[0][1]))
		policy := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)
		if policy == nil {
			t.Fatalf("%s has no policy", name)
		}
		allowed := strings.NewReplacer("&#39;", "'", "&#43;", "+").Replace(policy[1])
		if want := "script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.Contains(allowed,
			want) {
			t.Errorf("%s: no %s in %s", name, want, allowed)
		}
		if !strings.HasPrefix(allowed, "default-src 'none'") || strings.Contains(allowed, "http") ||
			strings.Contains(allowed, "*") {
			t.Errorf("%s may load: %s", name, allowed)
		}
		for _, outside := range []string{"http://", "https://", "//fonts", "@import", "src=\"/"} {
			if strings.Contains(pageParts.ReplaceAllString(page, ""), outside) {
				t.Errorf("%s names %s", name, outside)
			}
		}
	}
}

// Each clip's page leads to its neighbours, the first and the last to one only, and all to the index.
func TestNeighbours(t *testing.T) {
	dir, doc := t.TempDir(), reporttest.Shoot(t)
	if err := Write(dir, doc); err != nil {
		t.Fatal(err)
	}
	last := len(doc.Clips) - 1
	for i := range doc.Clips {
		page := written(t, dir, report.ClipPage(doc.Clips[i].Path))
		if strings.Contains(page, `rel="prev"`) != (i > 0) || strings.Contains(page, `rel="next"`) != (i < last) {
			t.Errorf("clip %d has not the neighbours it has", i)
		}
		if !strings.Contains(page, `href="../index.html"`) {
			t.Errorf("clip %d does not lead to the index", i)
		}
		for _, link := range regexp.MustCompile(`rel="(?:prev|next)" href="([^"]*)"`).FindAllStringSubmatch(page, -1) {
			if _, err := os.Stat(dir + "/" + report.ClipFolder + "/" + link[1]); err != nil {
				t.Errorf("clip %d leads to %s: %v", i, link[1], err)
			}
		}
	}
}

func values(list facts) map[string]string {
	all := map[string]string{}
	for _, f := range list {
		all[f.Label] = strings.ReplaceAll(f.Value+"|"+f.Note, "\u00a0", " ")
	}
	return all
}

func TestKeyFigures(t *testing.T) {
	doc := reporttest.Shoot(t)
	nothing := report.Clip{}
	nothing.Noise.Floor, nothing.Advice.After.SNR = curve.Unknown[curve.Stops](), curve.Unknown[curve.Decibels]()
	nothing.Advice.After.Nominal, nothing.Highlights.Headroom = curve.Unknown[curve.Decibels](),
		curve.Unknown[curve.Stops]()
	nothing.Noise.Usable = curve.Unknown[curve.Stops]()
	for _, test := range []struct {
		clip report.Clip
		want map[string]string
	}{
		{doc.Clips[0], map[string]string{"Action": "pull 1.31 stops|before the display transform"}},
		{doc.Clips[2], map[string]string{"Action": "no advice|no sure grey was found"}},
		{doc.Clips[3], map[string]string{"Shadows": "not measured|the recording hides the camera's noise",
			"Floor": "not measured|where signal and noise are equal"}},
		{nothing, map[string]string{"Grey": "not measured|no grey was found", "Action": "no advice|no sure grey was found",
			"Shadows": "not measured|4 stops under grey", "Clipped": "0 %|",
			"Floor": "not measured|where signal and noise are equal"}},
	} {
		got := values(keyFigures(&test.clip))
		for label, want := range test.want {
			if got[label] != want {
				t.Errorf("%s of %q: got %q, want %q", label, test.clip.Path, got[label], want)
			}
		}
	}
	held := doc.Clips[0]
	held.Advice.Action, held.Advice.Stops = advise.Hold, 0
	if got := values(keyFigures(&held))["Action"]; got != "hold|grey is near enough to the target" {
		t.Errorf("held: %q", got)
	}
}

func TestGreyNote(t *testing.T) {
	for want, p := range map[string]*placement.Placement{
		"no grey was found":                         nil,
		"from the card, 95 % +1.28 to +1.34":        {Method: placement.Card, Low: 1.28, High: 1.34},
		"scene average, weak":                       {Method: placement.Scene, Low: -3.4, High: -1.4, Weak: true},
		"judged by a face":                          {Method: placement.Face, Low: curve.Unknown[curve.Stops]()},
		"carried, 95 % +0.1 to +1.0":                {Method: placement.Card, Carried: "a.mov", Low: 0.1, High: 1},
		"from the region":                           {Method: placement.Region, Low: 1, High: 1},
		`a \x1b[2J` + " method, 95 % +0.0 to +1.0":  {Method: "a \x1b[2J method", Low: 0, High: 1},
		"from the chart, 95 % -0.36 to -0.34, weak": {Method: placement.Chart, Low: -0.36, High: -0.34, Weak: true},
	} {
		if got := greyNote(p); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestAreaWords(t *testing.T) {
	field, points := clipping.Area{Share: 0.1, Kind: clipping.Field}, clipping.Area{Share: 0.01, Kind: clipping.Points}
	for want, h := range map[string]clipping.Result{
		"large area and highlights":   {Areas: []clipping.Area{field, points}},
		"large area":                  {Areas: []clipping.Area{field}},
		"highlights":                  {Areas: []clipping.Area{points}},
		"2.1\u00a0stops left":         {Headroom: 2.1, Ceiling: clipping.Ceiling{Origin: clipping.Measured}},
		"at most 2.1\u00a0stops left": {Headroom: 2.1, Ceiling: clipping.Ceiling{Origin: clipping.CurveEnd}},
		"":                            {Headroom: curve.Unknown[curve.Stops]()},
	} {
		if got := areaWords(&h); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestMethodFacts(t *testing.T) {
	doc := reporttest.Shoot(t)
	c := &doc.Clips[0]
	c.Sampling = report.Sampling{Mode: report.Groups, Groups: 4, FramesMeasured: 32, FramesLost: 2}
	c.Frames = 96
	c.Curve.Assumed, c.Curve.Source = true, "a document"
	c.Highlights.Ceiling = clipping.Ceiling{Level: curve.Level{Code: 940.2, Percent: 100}, Origin: clipping.CurveEnd}
	doc.Settings.Target = 1
	got := values(methodFacts(c, doc.Settings))
	for label, want := range map[string]string{
		"Frames":  "32 of 96 frames measured in 4 groups, 2 lost|",
		"Curve":   c.Curve.Name + "|assumed, and every number rests on it; a document",
		"Ceiling": "code 940|100.0 %, from the curve",
		"Target":  "+1.0 stops|where grey should lie",
		"Grey by": "auto|reflectance 18 %",
	} {
		if got[label] != want {
			t.Errorf("%s: got %q, want %q", label, got[label], want)
		}
	}
	c.Frames, c.Sampling = 0, report.Sampling{Mode: report.Every, FramesMeasured: 1}
	c.Highlights.Ceiling.Code, doc.Settings.Target = curve.Unknown[curve.Code](), 0.04
	got = values(methodFacts(c, doc.Settings))
	if got["Frames"] != "1 frame measured|" || got["Target"] != "nominal|where grey should lie" {
		t.Errorf("frames %q, target %q", got["Frames"], got["Target"])
	}
	for _, label := range []string{"Ceiling", "Exposed for", "Rules"} {
		if _, told := got[label]; told {
			t.Errorf("%s is told and not known", label)
		}
	}
	target, intended := curve.Stops(0.5), curve.Stops(1.5)
	c.Advice.Target, c.Advice.Intended, c.Advice.Rules = &target, &intended, []string{"show", "day2"}
	doc.Settings.Rules = &rule.Set{File: "show.toml"}
	got = values(methodFacts(c, doc.Settings))
	for label, want := range map[string]string{
		"Target": "+0.5 stops|where grey should lie", "Rules": "show, day2|from show.toml",
		"Exposed for": "+1.5 stops|on purpose: the clip is judged by it",
	} {
		if got[label] != want {
			t.Errorf("%s: got %q, want %q", label, got[label], want)
		}
	}
}

// A row's keys are the document's numbers, and empty where there is none, so that sorting puts what
// is not known at the end.
func TestRowKeys(t *testing.T) {
	doc := reporttest.Shoot(t)
	over, hidden, nothing := newRow(&doc.Clips[0], 0), newRow(&doc.Clips[3], 3), newRow(&doc.Clips[4], 4)
	if over.KeyGrey != "1.3100" || over.KeyDo != "-1.3100" || over.Place != "0" || over.KeyShadows == "" {
		t.Errorf("keys %q %q %q", over.KeyGrey, over.KeyDo, over.KeyShadows)
	}
	if hidden.KeyShadows != "" || hidden.Nominal != "noise hidden" || hidden.Shadows != curve.Absent {
		t.Errorf("of hidden noise: key %q, %q, %q", hidden.KeyShadows, hidden.Shadows, hidden.Nominal)
	}
	if nothing.KeyGrey != "" || nothing.KeyDo != "" || nothing.Grey != curve.Absent || nothing.GreyBy != "" {
		t.Errorf("of nothing: %+v", nothing)
	}
	if key(math.NaN(), 2) != "" || key(-0.5, 2) != "-0.50" {
		t.Error("keys of no number and of a number under zero")
	}
}

// At most two findings say why, notes only where nothing is graver.
func TestMainFindings(t *testing.T) {
	of := func(levels ...advise.Level) (list []finding) {
		for i, l := range levels {
			list = append(list, finding{l, string(rune('a' + i))})
		}
		return list
	}
	for want, findings := range map[string][]finding{
		"": nil, "a": of(advise.Note, advise.Note), "a b": of(advise.Alarm, advise.Caution, advise.Caution),
		"a ": of(advise.Alarm, advise.Note),
	} {
		if got := strings.Join(mainFindings(findings), " "); got != strings.TrimSpace(want) {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	c := &report.Clip{}
	for i, l := range []advise.Level{advise.Note, advise.Alarm, advise.Caution, advise.Alarm} {
		c.Advice.Findings = append(c.Advice.Findings, advise.Finding{Level: l, Text: string(rune('a' + i))})
	}
	text := ""
	for _, f := range findingsByLevel(c) {
		text += f.Text
	}
	if text != "bdca" {
		t.Errorf("the gravest first, as found: %s, want bdca", text)
	}
}

func TestSceneGrid(t *testing.T) {
	unknown := curve.Unknown[curve.Stops]()
	if got := sceneGrid(&levels.Scene{Average: unknown, P1: unknown, P10: unknown, P50: unknown, P90: unknown,
		P99: unknown}); len(got.Rows) != 0 {
		t.Errorf("of nothing known: %v", got.Rows)
	}
	got := sceneGrid(&levels.Scene{Average: -1.5, P1: unknown, P10: -5, P50: -2, P90: 1, P99: 3})
	if len(got.Rows) != 6 || got.Rows[0][1] != "-1.50 stops" || got.Rows[1][1] != curve.Absent {
		t.Errorf("rows %q", got.Rows)
	}
}

// A figure that no take has is no row; what cannot be told from the first take is said so.
func TestVersus(t *testing.T) {
	value := func(v float64) *advise.Estimate {
		return &advise.Estimate{Value: curve.Amount(v), Low: curve.Amount(v - 0.05), High: curve.Amount(v + 0.05)}
	}
	difference := func(v float64, told bool) *advise.Difference {
		return &advise.Difference{Estimate: *value(v), Told: told}
	}
	table := newVersus([]advise.Take{
		{Figures: []advise.Figure{{Name: "placement", Unit: "stops", Value: value(0)}, {Name: "floor", Unit: "stops"}}},
		{Figures: []advise.Figure{{Name: "placement", Unit: "stops", Value: value(1.6), Difference: difference(1.6, true)},
			{Name: "floor", Unit: "stops"}}},
		{Figures: []advise.Figure{{Name: "placement", Unit: "stops", Value: value(0.01), Difference: difference(0.01,
			false)},
			{Name: "floor", Unit: "stops"}}},
	})
	if strings.Join(table.Letters, "") != "ABC" || len(table.Rows) != 1 || table.Rows[0].Name != "grey" {
		t.Fatalf("%+v", table)
	}
	cells := table.Rows[0].Cells
	if cells[0].Difference != "" || cells[1].Difference != "+1.60 ±0.05\u00a0stops from A" || !cells[1].Told ||
		cells[2].Difference != "no measurable difference from A" || cells[2].Told {
		t.Errorf("%+v", cells)
	}
	if got := newVersus(nil); got.Rows != nil {
		t.Errorf("of no takes: %+v", got)
	}
}

// Levels are marked on the waveform where the picture has them: 110 % at its top, -8 % at its foot.
func TestWaveformLines(t *testing.T) {
	w := &waveform{}
	for _, level := range []curve.Percent{110, -8, 51} {
		w.mark(level, "x", "")
	}
	for i, want := range []float64{0, 100, 50} {
		if w.Lines[i].Y != want {
			t.Errorf("line %d lies at %g %%, want %g", i, w.Lines[i].Y, want)
		}
	}
}

// A picture too heavy to be mailed stays out of the page.
func TestHeavyPicturesStayOut(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(dir+"/"+report.PictureFolder, 0o755); err != nil {
		t.Fatal(err)
	}
	folder, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	for size, in := range map[int]bool{largestPicture: true, largestPicture + 1: false} {
		if err := os.WriteFile(dir+"/pictures/a.png", make([]byte, size), 0o644); err != nil {
			t.Fatal(err)
		}
		if got := embedded(folder, "pictures/a.png") != ""; got != in {
			t.Errorf("%d bytes are in the page: %v", size, got)
		}
	}
	if err := os.WriteFile(dir+"/pictures/a.svg", []byte("<svg/>"), 0o644); err != nil {
		t.Fatal(err)
	}
	if embedded(folder, "pictures/a.svg") != "" {
		t.Error("a picture that may hold a script is in the page")
	}
	for _, name := range []string{"pictures/a.png", "pictures/none.png", "../a.png", ""} {
		if newProbe(folder, &report.Clip{Pictures: &report.Pictures{Levels: name, LevelsSide: 4}},
			metadata.ReadAs{}) != nil {
			t.Errorf("%q, which is no picture of levels, can be measured", name)
		}
	}
}

func TestShutterWords(t *testing.T) {
	for s, want := range map[curve.Seconds]string{1.0 / 50: "1/50 s", 1.0 / 8000: "1/8000 s", 0.5: "0.5 s", 2: "2 s",
		1 / 59.94: "1/59.9 s",
		0:         "", -1: ""} {
		if got := shutterWords(&s); got != want {
			t.Errorf("%v: got %q, want %q", float64(s), got, want)
		}
	}
	if shutterWords(nil) != "" || shutterWords(ptr(curve.Seconds(math.NaN()))) != "" {
		t.Error("a shutter that is not known has words")
	}
}

// Each group is told with what is known of it, and a single one not at all.
func TestGroupLines(t *testing.T) {
	unknown := curve.Unknown[curve.Stops]()
	c := &report.Clip{Over: []analyze.Moment{{T: 0, Placement: 1.312, Level: -0.5, Floor: -7.62, Clipped: 0.019},
		{T: 4.25, Placement: unknown, Level: unknown, Floor: unknown, Clipped: curve.Unknown[curve.Share]()}}}
	got := groupLines(c)
	want := []string{"at 0.0\u00a0s · grey +1.31\u00a0stops · the frame's average −0.50\u00a0stops · " +
		"floor −7.6\u00a0stops · 1.9\u00a0% clipped", "at 4.3\u00a0s"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	c.Over = c.Over[:1]
	if got := groupLines(c); got != nil {
		t.Errorf("of one group: %q", got)
	}
}
