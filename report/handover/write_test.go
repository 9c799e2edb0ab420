package handover

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
)

var tool = report.Tool{Name: "stopledger", Version: "0.0-test"}

// clip is one of S-Log3 by a card over nominal, to be pulled to it.
func clip(t testing.TB, path string, over curve.Stops) *report.Clip {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	r := curve.Reading{Curve: c, Bits: 10}
	return &report.Clip{File: report.File{Path: path, Bits: 10, FrameRate: 25, Frames: 50, Timecode: "10:00:00:00"},
		Curve:     report.Curve{Name: c.Name, Source: c.Source.String(), MidGrey: r.Level(r.CodeOf(curve.MidGrey))},
		Placement: &placement.Placement{Stops: over},
		Advice:    advise.Advice{Action: advise.Pull, Stops: over, Offset: -over}}
}

// orders are those of clips by their paths, all so much over.
func orders(t testing.TB, over curve.Stops, paths ...string) (list []Order) {
	t.Helper()
	for _, p := range paths {
		o, refused := OrderOf(clip(t, p, over), Wish{})
		if refused != "" {
			t.Fatal(refused)
		}
		list = append(list, o)
	}
	return list
}

func all(dir string) Request {
	return Request{Dir: dir, As: Kinds, Domains: Domains, MaxError: 0.2, Tool: tool}
}

func write(t *testing.T, r Request, orders []Order) *report.Adjusted {
	t.Helper()
	a, err := r.Write(orders)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// contents are the files of a folder by name.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	found := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			var b []byte
			b, err = os.ReadFile(path)
			found[d.Name()] = string(b)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// Each clip has a file of each kind in each domain, which says its clip, curve, change and values; the lists
// have all clips; and what is told is what is there.
func TestFilesOfClips(t *testing.T) {
	dir := t.TempDir()
	a := write(t, all(dir), orders(t, 1, "day/A001_C001.mov", "day/A001_C002.mov"))
	files := contents(t, dir)
	if len(a.Files) != 12 || len(a.Lists) != 6 || len(a.Refused) != 0 || len(files) != 18 {
		t.Fatalf("%d files, %d lists, %d refused; %d there", len(a.Files), len(a.Lists), len(a.Refused), len(files))
	}
	for _, f := range a.Files {
		text := files[f.File]
		zero := map[curve.Domain]string{curve.VideoDomain: "codes 64..940", curve.CurveDomain: "codes 0..1023"}[f.Domain]
		for _, says := range []string{f.Path, f.Curve, "-1.000 stops", zero, Mark(f.Path)} {
			if !strings.Contains(strings.ReplaceAll(text, "\n# ", " "), says) {
				t.Errorf("%s does not say %q", f.File, says)
			}
		}
		if f.Stops != -1 || f.Curve != "S-Log3" || (f.As == "cdl") != curve.Finite(f.Offset) ||
			(f.As == "cdl") != (len(f.Errors) == 9) || (f.As != "cdl") != (f.Worst < 1e-3) {
			t.Errorf("%+v", f)
		}
	}
	if text := files["A001_C001_video.cube"]; !strings.Contains(text, "Clamps what lies outside 0..1") {
		t.Errorf("the cube does not say that it clamps: %.600s", text)
	}
	for _, l := range a.Lists {
		if text := files[l.File]; strings.Count(text, "A001_C00") < 2 || l.Clips != 2 {
			t.Errorf("%+v: %s", l, text)
		}
	}
}

// The offset brings the subject's grey to the target: S-Log3 as video, 1.65 over, from the published formula.
func TestOffsetOfAnOrder(t *testing.T) {
	k := orders(t, 1.65, "a.mov")[0].Make(CDL, curve.VideoDomain)
	if math.Abs(k.offset - -0.143538) > 1e-6 || k.Refused(0.2) != "" {
		t.Errorf("offset %g; %s", k.offset, k.Refused(0.2))
	}
	why := k.Refused(0.1)
	if !strings.Contains(why, "0.17 stops") || !strings.Contains(why, "2.0 stops under") ||
		!strings.Contains(why, "0.10") {
		t.Error(why)
	}
	unsure := clip(t, "a.mov", 3)
	unsure.Placement.Weak = true
	down := curve.Stops(-1.65)
	o, _ := OrderOf(unsure, Wish{Stops: &down})
	if k := o.Make(CDL, curve.VideoDomain); math.Abs(k.offset - -0.143538) > 1e-6 || o.Sure ||
		!strings.Contains(k.Exactness(), "taken to lie +1.65 stops") {
		t.Errorf("offset %g: %s", k.offset, k.Exactness())
	}
}

// A clip gets no file for its advice, but for stops that are named; nor with a curve that is not to be had.
func TestOrdersRefused(t *testing.T) {
	lift := curve.Stops(0.50049)
	for name, w := range map[string]struct {
		change func(*report.Clip)
		wish   Wish
		says   string // "" for none refused
	}{
		"pull":        {func(*report.Clip) {}, Wish{}, ""},
		"hold":        {func(c *report.Clip) { c.Advice.Action, c.Advice.Offset = advise.Hold, 0 }, Wish{}, "hold: "},
		"hold, stops": {func(c *report.Clip) { c.Advice.Action, c.Advice.Offset = advise.Hold, 0 }, Wish{Stops: &lift}, ""},
		"none": {func(c *report.Clip) {
			c.Advice = advise.Advice{Action: advise.None, Offset: curve.Unknown[curve.Stops](), Summary: "Two cards disagree."}
		}, Wish{}, "Two cards disagree."},
		"none, stops": {func(c *report.Clip) { c.Advice.Action, c.Placement = advise.None, nil }, Wish{Stops: &lift}, ""},
		"a file's":    {func(c *report.Clip) { c.Curve.Source = "my.clf" }, Wish{}, "--curve"},
		"another":     {func(c *report.Clip) { c.Curve.MidGrey.Code++ }, Wish{}, "measure the clip again"},
		"no depth":    {func(c *report.Clip) { c.Bits = 0 }, Wish{}, "bit depth"},
	} {
		c := clip(t, "a.mov", 1)
		w.change(c)
		o, refused := OrderOf(c, w.wish)
		if (w.says == "") != (refused == "") || !strings.Contains(refused, w.says) {
			t.Errorf("%s: refused %q, want %q", name, refused, w.says)
		}
		if w.wish.Stops != nil && o.Stops != 0.5 {
			t.Errorf("%s: %g stops", name, o.Stops)
		}
	}
	c := clip(t, "a.mov", 1)
	c.Curve.Source = "my.clf"
	named, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	if o, refused := OrderOf(c, Wish{Curve: named}); refused != "" || o.Reading.Curve != named {
		t.Errorf("with the curve named: %s", refused)
	}
}

// Clips of one name, or of names that are one on another system, have files of their own; a second run writes
// over its own files, and never over another clip's or a foreign one.
func TestNamesOfFiles(t *testing.T) {
	dir := t.TempDir()
	r := all(dir)
	r.As, r.Domains = []Kind{CLF}, []curve.Domain{curve.VideoDomain}
	paths := []string{"a/C1.mov", "b/C1.mov", "b/c1.MXF", "x/C1-" + Mark("a/C1.mov") + ".mov", "con.mov", "../..",
		"日本.mov",
		"a b.mov", "a?b.mov", ".hidden", strings.Repeat("long", 99) + ".mov"}
	first := write(t, r, orders(t, 1, paths...))
	seen := map[string]bool{}
	safe := regexp.MustCompile(`^[A-Za-z0-9_][A-Za-z0-9_-]{0,80}\.clf$`)
	for _, f := range first.Files {
		if seen[strings.ToLower(f.File)] || !safe.MatchString(f.File) {
			t.Errorf("%s of %s", f.File, f.Path)
		}
		seen[strings.ToLower(f.File)] = true
	}
	before := contents(t, dir)
	if again := write(t, r, orders(t, 1, paths...)); fmt.Sprint(again) != fmt.Sprint(first) ||
		len(contents(t, dir)) != len(before) {
		t.Error("a second run names its files otherwise")
	}
	other := write(t, r, orders(t, 2, "elsewhere/con.mov"))
	if name := other.Files[0].File; name != "con-"+Mark("elsewhere/con.mov")+"_video.clf" {
		t.Errorf("another clip of that name: %s", name)
	}
	if contents(t, dir)["con_video.clf"] != before["con_video.clf"] {
		t.Error("another clip's file is gone")
	}
	foreign := filepath.Join(dir, "D1_video.cube")
	if err := os.WriteFile(foreign, []byte("mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	r.As = []Kind{Cube}
	if f := write(t, r, orders(t, 1, "D1.mov")).Files[0]; f.File == "D1_video.cube" ||
		contents(t, dir)["D1_video.cube"] != "mine" {
		t.Errorf("over a foreign file: %s", f.File)
	}
	r.As = []Kind{CDL}
	if err := os.WriteFile(filepath.Join(dir, "exposure_video.edl"), []byte("TITLE: MINE"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Write(orders(t, 1, "D1.mov")); err == nil || !strings.Contains(err.Error(), "exposure_video.edl") ||
		contents(t, dir)["exposure_video.edl"] != "TITLE: MINE" {
		t.Errorf("over a foreign list: %v", err)
	}
}

// Files of an earlier run that say another correction of a clip, or one where there is none now, are told.
func TestEarlierFiles(t *testing.T) {
	dir := t.TempDir()
	if a := write(t, all(dir), orders(t, 1, "a.mov", "b.mov", "c.mov")); len(a.Earlier) != 0 {
		t.Errorf("at first: %q", a.Earlier)
	}
	r := all(dir)
	r.As, r.Domains = []Kind{CLF}, []curve.Domain{curve.VideoDomain}
	if a := write(t, r, orders(t, 1, "a.mov", "c.mov")); len(a.Earlier) != 0 {
		t.Errorf("with the same correction: %q", a.Earlier)
	}
	r.Refused = []report.Refusal{{Path: "b.mov", Reason: "hold"}}
	got := strings.Join(write(t, r, orders(t, 2, "a.mov")).Earlier, " ")
	if want := "a_curve.cc a_curve.clf a_curve.cube a_video.cc a_video.cube b_curve.cc b_curve.clf b_curve.cube " +
		"b_video.cc b_video.clf b_video.cube exposure_curve.ccc exposure_curve.edl exposure_curve.otio " +
		"exposure_video.ccc exposure_video.edl exposure_video.otio"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// The edit list has an event a clip with its time code, length, name and decision, in the form that readers of
// the OpenTimelineIO project find (its otio-cmx3600-adapter: digits on both sides of each point); a clip whose
// decision was refused has none. Clips that count frames otherwise have a list of their own.
func TestEditLists(t *testing.T) {
	dir := t.TempDir()
	list := orders(t, 0.5, "A001_C001.mov", "B001_C001.mov", "D001_C001.mov")
	list = append(list, orders(t, 6, "A001_C003.mov")...)
	list[1].Clip.FrameRate, list[1].Clip.Timecode = 29.97, "01:00:59;28"
	list[2].Clip.Timecode = ""
	r := all(dir)
	r.As, r.Domains = []Kind{CDL}, []curve.Domain{curve.VideoDomain}
	a := write(t, r, list)
	if len(a.Refused) != 1 || a.Refused[0].As != "cdl" || a.Refused[0].Domain != curve.VideoDomain ||
		len(a.Lists) != 4 {
		t.Fatalf("refused %+v, lists %+v", a.Refused, a.Lists)
	}
	files := contents(t, dir)
	text := files["exposure_video_25fps.edl"]
	event := regexp.MustCompile(`(?m)^(\d{3})  ([A-Z0-9]{1,8}) +V     C        (\S+) (\S+) (\S+) (\S+)$`)
	var events []string
	for _, m := range event.FindAllStringSubmatch(text, -1) {
		events = append(events, strings.Join(m[1:], " "))
	}
	if got := strings.Join(events, "\n"); got != "001 A001C001 10:00:00:00 10:00:02:00 01:00:00:00 01:00:02:00\n"+
		"002 D001C001 00:00:00:00 00:00:02:00 01:00:02:00 01:00:04:00\n"+
		"003 A001C003 10:00:00:00 10:00:02:00 01:00:04:00 01:00:06:00" {
		t.Errorf("events\n%s", got)
	}
	if strings.Count(text, "*ASC_SOP") != 2 || strings.Count(text, "*ASC_SAT 1.000000") != 2 ||
		!strings.Contains(text, "* FROM CLIP NAME: A001_C003.mov\n") {
		t.Error(text)
	}
	sop := regexp.MustCompile(`\*ASC_SOP.*`).FindString(text)
	numbers := regexp.MustCompile(`-?\d+\.\d+`).FindAllString(sop, -1)
	if want := strconv.FormatFloat(float64(a.Files[0].Offset), 'f', 6, 64); len(numbers) != 9 || numbers[3] != want {
		t.Errorf("%s: numbers %q, want offset %s", sop, numbers, want)
	}
	drop := files["exposure_video_30fps_drop.edl"]
	for _, says := range []string{"FCM: DROP FRAME", "01:00:59;28 01:01:01;20 01:00:00;00 01:00:01;20"} {
		if !strings.Contains(drop, says) {
			t.Errorf("no %q in\n%s", says, drop)
		}
	}
}

// The timeline has the project's objects (OpenTimelineIO, serialised schema) and each clip's decision where its
// reader of edit lists keeps it.
func TestTimeline(t *testing.T) {
	dir := t.TempDir()
	list := orders(t, 0.5, "/day/A001 C001.mov")
	list = append(list, orders(t, 6, "A001_C003.mov")...)
	write(t, all(dir), list)
	type schema struct {
		OTIO string `json:"OTIO_SCHEMA"`
	}
	type rational struct {
		schema
		Rate, Value float64
	}
	type span struct {
		schema
		Start    rational `json:"start_time"`
		Duration rational `json:"duration"`
	}
	var timeline struct {
		schema
		Tracks struct {
			schema
			Children []struct {
				schema
				Kind     string
				Children []struct {
					schema
					Name     string
					Span     span `json:"source_range"`
					Metadata struct {
						CDL *struct {
							Sat float64                                   `json:"asc_sat"`
							SOP struct{ Slope, Offset, Power [3]float64 } `json:"asc_sop"`
						}
					}
					Media map[string]struct {
						schema
						Target string `json:"target_url"`
					} `json:"media_references"`
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(contents(t, dir)["exposure_video.otio"]), &timeline); err != nil {
		t.Fatal(err)
	}
	track := timeline.Tracks.Children[0]
	if timeline.OTIO != "Timeline.1" || timeline.Tracks.OTIO != "Stack.1" || track.OTIO != "Track.1" ||
		track.Kind != "Video" ||
		len(track.Children) != 2 {
		t.Fatalf("%+v", timeline)
	}
	c := track.Children[0]
	offset := list[0].Make(CDL, curve.VideoDomain).offset
	if c.OTIO != "Clip.2" || c.Name != "A001 C001.mov" || c.Span.OTIO != "TimeRange.1" ||
		c.Span.Start.OTIO != "RationalTime.1" ||
		c.Span.Start.Value != 900000 || c.Span.Duration.Value != 50 || c.Span.Start.Rate != 25 ||
		c.Media["DEFAULT_MEDIA"].OTIO != "ExternalReference.1" ||
		c.Media["DEFAULT_MEDIA"].Target != "file:///day/A001%20C001.mov" {
		t.Errorf("%+v", c)
	}
	if d := c.Metadata.CDL; d == nil || d.Sat != 1 || d.SOP.Slope != [3]float64{1, 1, 1} ||
		d.SOP.Offset != [3]float64{offset, offset, offset} {
		t.Errorf("%+v", c.Metadata)
	}
	if track.Children[1].Metadata.CDL != nil {
		t.Error("a clip whose decision was refused has one")
	}
}

// A collection has each decision by an id of its own.
func TestCollection(t *testing.T) {
	dir := t.TempDir()
	write(t, all(dir), orders(t, 0.5, "a/C1.mov", "b/C1.mov", "c/C2.mov"))
	var read struct {
		Corrections []struct {
			ID          string `xml:"id,attr"`
			Description []string
		} `xml:"ColorCorrection"`
	}
	if err := xml.Unmarshal([]byte(contents(t, dir)["exposure_curve.ccc"]), &read); err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for i, c := range read.Corrections {
		ids[c.ID] = true
		if path := []string{"a/C1.mov", "b/C1.mov", "c/C2.mov"}[i]; c.Description[0] != "Clip "+path {
			t.Errorf("%d: %q", i, c.Description)
		}
	}
	if len(ids) != 3 {
		t.Errorf("%d ids of 3", len(ids))
	}
}
