package rule

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode/metadata"
)

func TestFolders(t *testing.T) {
	for _, c := range []struct {
		pattern, folder string
		want            bool
	}{
		{"", "/media/card", true},
		{"day2", "/shoot/day2", true},
		{"day2", "/shoot/day2/cam_a/clips", true},
		{"day2", "/shoot/day22", false},
		{"day2/cam_*", "/shoot/day2/cam_a/clips", true},
		{"day2/cam_*", "/shoot/day2/b/cam_a", false},
		{"day[12]", "/shoot/day1", true},
		{"*", "/", true},
		{"/media/*", "/media/card/DCIM", true},
		{"/media/*", "/home/media/card", false},
		{"a/b/c", "/a/b", false},
		{"day2", "day2", true},
	} {
		s := Set{Sections: []Section{{Name: "x", Folder: c.pattern}}}
		if got := len(s.For(c.folder)) == 1; got != c.want {
			t.Errorf("%q and %q: %v", c.pattern, c.folder, got)
		}
	}
	if none := (*Set)(nil).For("/a"); len(none) != 0 || none.Names() == nil {
		t.Errorf("%v", none)
	}
}

// The last section that speaks of something is asked, and named.
func TestLastSectionIsAsked(t *testing.T) {
	one, two := curve.Stops(1), curve.Stops(2)
	set := Set{Sections: []Section{
		{Name: "all", Intended: &one, Tolerance: &one, Levels: map[string]Level{"drift": Alarm, "step": Alarm}},
		{Name: "night", Folder: "night", Intended: &two, Levels: map[string]Level{"drift": Note}},
	}}
	day, night := set.For("/day"), set.For("/night/a")
	if *day.Intended() != 1 || *night.Intended() != 2 || *night.Tolerance() != 1 || night.Target() != nil {
		t.Errorf("%+v %+v", day, night)
	}
	if !slices.Equal(night.Names(), []string{"all", "night"}) {
		t.Errorf("%q", night.Names())
	}
	for id, want := range map[string]string{"drift": "note night", "step": "alarm all", "flicker": " "} {
		if level, by := night.LevelOf(id); string(level)+" "+by != want {
			t.Errorf("%s: %s %s", id, level, by)
		}
	}
}

func TestShutters(t *testing.T) {
	for text, want := range map[string]string{
		"1/50": "1/50 s", "1/50 s": "1/50 s", "0.02": "1/50 s", "0.02 s": "1/50 s", "180 deg": "180 deg",
		"172.8deg": "172.8 deg",
		"2 s":      "2 s", "0.3 s": "0.3 s", "360 deg": "360 deg",
		"": "", "1/0": "", "0/1": "", "-1/50": "", "400 deg": "", "nan": "", "inf": "", "1/50/2": "", "fast": "", "2000": "",
	} {
		s, err := ParseShutter(text)
		if want == "" {
			if err == nil || !strings.Contains(err.Error(), "write a time such as 1/50") {
				t.Errorf("%q: %v, %v", text, s, err)
			}
			continue
		}
		again, _ := ParseShutter(s.String())
		if err != nil || s.String() != want || again.String() != want {
			t.Errorf("%q: %v, %v", text, s, err)
		}
	}
}

// FuzzShutter: whatever is read can be read again as it is written.
func FuzzShutter(f *testing.F) {
	for _, s := range []string{"1/50", "180 deg", "1e-9", "3e2 s", "1/3e-3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseShutter(text)
		if err != nil {
			return
		}
		again, err := ParseShutter(s.String())
		if err != nil || !same(float64(s.Time+curve.Seconds(s.Angle)), float64(again.Time+curve.Seconds(again.Angle))) {
			t.Errorf("%q: %v, %v, %v", text, s, again, err)
		}
	})
}

func said(v metadata.Setting) *metadata.Setting { return &v }

func seconds(v curve.Seconds) *curve.Seconds { return &v }

func TestCameraRules(t *testing.T) {
	iso := Asked{{Name: "r", ISO: []curve.Amount{800, 3200}}}
	half := Asked{{Name: "r", Shutters: []Shutter{{Angle: 180}}}}
	fifty := Asked{{Name: "r", Shutters: []Shutter{{Time: 0.02}, {Time: 0.01}}}}
	camera := func(c metadata.Camera) *metadata.Camera { return &c }
	timed := func(s curve.Seconds) *metadata.Camera {
		return camera(metadata.Camera{ShutterS: seconds(s)})
	}
	for name, c := range map[string]struct {
		asked  Asked
		camera *metadata.Camera
		rate   curve.Amount
		want   string // id, and text
	}{
		"allowed": {iso, camera(metadata.Camera{ISO: said(3200)}), 0, ""},
		"not allowed": {iso, camera(metadata.Camera{ISO: said(1600)}), 0,
			ISOID + " ISO 1600, and 800 or 3200 is allowed"},
		"by index":      {iso, camera(metadata.Camera{ExposureIndex: said(640)}), 0, ISOID + " exposure index 640"},
		"index allowed": {iso, camera(metadata.Camera{ExposureIndex: said(800)}), 0, ""},
		"nothing said":  {iso, nil, 0, UnsureID + " does not say its ISO"},
		"no ISO said":   {iso, camera(metadata.Camera{Make: "x"}), 0, UnsureID + " does not say its ISO"},
		"changes": {iso, camera(metadata.Camera{ISO: said(800),
			Changes: []string{"ISO 800 at first, ISO 3200 at last"}}), 0, UnsureID + " ISO changes"},
		"half of 25":       {half, timed(0.02), 25, ""},
		"half of 23.976":   {half, timed(1. / 48), 23.976, ""},
		"1/50 at 24":       {half, timed(1. / 50), 24, ShutterID + " shutter of 1/50 s, and 180 deg is allowed"},
		"no rate":          {half, timed(0.02), 0, UnsureID + " without a frame rate"},
		"an angle":         {half, camera(metadata.Camera{ShutterAngleDeg: said(180)}), 0, ""},
		"another angle":    {half, camera(metadata.Camera{ShutterAngleDeg: said(172.8)}), 0, ShutterID + " 172.8 deg"},
		"angle as time":    {fifty, camera(metadata.Camera{ShutterAngleDeg: said(180)}), 25, ""},
		"rate of capture":  {half, camera(metadata.Camera{ShutterS: seconds(0.005), CaptureFPS: said(100)}), 25, ""},
		"second choice":    {fifty, timed(0.01), 25, ""},
		"another time":     {fifty, timed(1. / 60), 25, ShutterID + " 1/60 s, and 1/50 s or 1/100 s is allowed"},
		"shutter not said": {fifty, camera(metadata.Camera{}), 25, UnsureID + " does not say its shutter"},
		"shutter changes": {fifty, camera(metadata.Camera{ShutterS: seconds(0.02),
			Changes: []string{"shutter 0.02 s at first"}}), 25, UnsureID + " shutter changes"},
	} {
		found := c.asked.Judge(Clip{Camera: c.camera, Rate: c.rate})
		id, text, _ := strings.Cut(c.want, " ")
		if len(found) == 0 && id == "" {
			continue
		}
		if len(found) != 1 || found[0].ID != id || !strings.Contains(found[0].Text, text) ||
			(found[0].Level == Alarm) != (id != UnsureID) {
			t.Errorf("%s: %+v", name, found)
		}
	}
}

// A figure is judged by its whole interval, for limits and intervals drawn at random: what breaks a
// rule has no part within the limits, what keeps it none beyond.
func TestIntervals(t *testing.T) {
	for low := -2.; low <= 2; low += 0.25 {
		for high := low; high <= 2; high += 0.25 {
			tolerance := curve.Stops(0.5)
			a := Asked{{Name: "r", Tolerance: &tolerance}}
			found := a.Judge(Clip{Meant: 0.25, Placement: Figure{Value: (low + high) / 2, Low: low, High: high}})
			got := ""
			if len(found) > 0 {
				got = found[0].ID
			}
			inside, outside := low >= -0.25 && high <= 0.75, high < -0.25 || low > 0.75
			if (got == "") != inside || (got == PlacementID) != outside || got == UnsureID != (!inside && !outside) {
				t.Errorf("%v to %v: %q", low, high, got)
			}
		}
	}
	nan := math.NaN()
	tolerance := curve.Stops(100)
	a := Asked{{Name: "r", Tolerance: &tolerance}}
	if found := a.Judge(Clip{Placement: Figure{nan, nan, nan, ""}}); len(found) != 1 || found[0].ID != UnsureID {
		t.Errorf("no number keeps a rule: %+v", found)
	}
}

// Rules stand in documents: what is written is read again.
func TestJSON(t *testing.T) {
	half, share := curve.Stops(0.5), curve.Share(0.02)
	set := Set{File: "show.toml", Sections: []Section{{Name: "show", Intended: &half, Curves: []string{"S-Log3"},
		LeastSNR: &SNR{-4, 20}, Clipped: &share, ISO: []curve.Amount{800}, Shutters: []Shutter{{Angle: 172.8}, {Time: 0.02}},
		Levels: map[string]Level{"drift": Alarm}}}}
	text, err := json.Marshal(set)
	if err != nil {
		t.Fatal(err)
	}
	var back Set
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	again, _ := json.Marshal(back)
	if string(again) != string(text) || !strings.Contains(string(text), `"shutters":["172.8 deg","1/50 s"]`) {
		t.Errorf("%s\n%s", text, again)
	}
}
