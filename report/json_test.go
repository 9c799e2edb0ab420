package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	. "stopledger/report"
	"stopledger/report/internal/reporttest"
)

func jsonOf(t *testing.T, doc *Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteJSON(&b, doc); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// strictly decodes text, refusing fields that v does not have and anything after the value.
func strictly(t *testing.T, text string, v any) {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		t.Fatal(err)
	}
	if d.More() {
		t.Error("there is more than one value")
	}
}

func TestJSON(t *testing.T) {
	text := jsonOf(t, day())
	reporttest.Golden(t, "audit.json", text)
	var doc Document
	strictly(t, text, &doc)
	if again := jsonOf(t, &doc); again != text {
		t.Error("what was read is not written the same")
	}
	for _, c := range doc.Clips {
		s := c.Highlights.Clipped
		for _, share := range []curve.Share{s.R, s.G, s.B, s.Any, s.All} {
			if share < 0 || share > 1 {
				t.Errorf("%s: share %v", c.Path, share)
			}
		}
	}
}

// A comparison that was written is read and written the same.
func TestComparisonJSON(t *testing.T) {
	c := reporttest.Takes(t)
	c.Clips = []Clip{nominalClip(), overClip(), skyClip()}
	var b bytes.Buffer
	if err := WriteComparisonJSON(&b, c); err != nil {
		t.Fatal(err)
	}
	reporttest.Golden(t, "compare.json", b.String())
	strictly(t, b.String(), &Comparison{})
	if c.Schema != "stopledger/compare/1" || len(c.Takes) != 3 || len(c.Clips) != 3 {
		t.Errorf("schema %q, %d takes of %d clips", c.Schema, len(c.Takes), len(c.Clips))
	}
	if _, err := ReadComparisonJSON(strings.NewReader(jsonOf(t, day()))); err == nil {
		t.Error("an audit is read as a comparison")
	}
}

func TestJSONHasNoNaN(t *testing.T) {
	doc := day()
	c := &doc.Clips[0]
	c.Placement.Stops, c.FrameRate = curve.Stops(math.NaN()), curve.Amount(math.Inf(1))
	c.Noise.Floor, c.Advice.After.SNR = curve.Stops(math.NaN()), curve.Decibels(math.Inf(-1))
	c.Highlights.Ceiling.Code = curve.Code(math.Inf(1))
	text := jsonOf(t, doc)
	var v map[string]any
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	clip := v["clips"].([]any)[0].(map[string]any)
	for _, path := range []string{"placement.stops", "frame_rate", "noise.floor_stops", "advice.after.snr_db",
		"highlights.ceiling.code"} {
		value := any(clip)
		for _, name := range strings.Split(path, ".") {
			field, there := value.(map[string]any)[name]
			if !there {
				t.Errorf("%s is missing", path)
			}
			value = field
		}
		if value != nil {
			t.Errorf("%s is %v, want null", path, value)
		}
	}
	back, err := ReadJSON(strings.NewReader(text))
	if err != nil || !math.IsNaN(float64(back.Clips[0].Placement.Stops)) ||
		!math.IsNaN(float64(back.Clips[0].Highlights.Ceiling.Code)) {
		t.Errorf("null is not read as not measured: %v", err)
	}
}

// An empty document has empty lists, not null, so that a reader may walk them unseen.
func TestEmptyJSON(t *testing.T) {
	text := jsonOf(t, &Document{Schema: Schema, Clips: []Clip{{Pictures: &Pictures{}}}})
	for _, part := range []string{`"failed": []`, `"tones": []`, `"areas": []`, `"findings": []`, `"over_time": []`,
		`"placement": null`,
		`"camera": null`, `"channel_ceilings": {}`, `"by_picture": {}`, `"for_snr": []`, `"channels": []`, `"graded": []`,
		`"shares": []`,
		`"lifts": []`, `"not_reached": []`, `"skipped": []`, `"complete": false`, `"display": null`,
		`"patches": []`, `"strips": []`} {
		if !strings.Contains(text, part) {
			t.Errorf("there is no %s in %s", part, text)
		}
	}
	if text := jsonOf(t, &Document{}); !strings.Contains(text, `"clips": []`) {
		t.Errorf("no clips are written as %s", text)
	}
}

// Writing changes nothing of the document that is written.
func TestWritingChangesNothing(t *testing.T) {
	doc := day()
	doc.Clips[2].Pictures = &Pictures{}
	jsonOf(t, doc)
	if c := doc.Clips[2]; c.Noise.Tones != nil || c.Pictures.Strips != nil || c.Noise.Codec.ByPicture != nil ||
		doc.Settings.Lifts != nil {
		t.Error("lists of the document were made by writing it")
	}
	if p := doc.Clips[1].Placement; p.Series != nil {
		t.Error("a placement's series was made by writing it")
	}
}

// The last bit of a number does not change the file.
func TestJSONIsStable(t *testing.T) {
	a, b := day(), day()
	c := &b.Clips[0]
	c.Placement.Stops = curve.Stops(math.Nextafter(float64(c.Placement.Stops), 2))
	c.Noise.Model.Read = curve.Light(math.Nextafter(float64(c.Noise.Model.Read), 1))
	c.Highlights.Clipped.R = curve.Share(math.Nextafter(float64(c.Highlights.Clipped.R), 1))
	if jsonOf(t, a) != jsonOf(t, b) {
		t.Error("a last bit shows")
	}
}

func TestReadJSON(t *testing.T) {
	text := jsonOf(t, day())
	later := strings.Replace(text, `"schema"`, `"brand_new": {"x": 1}, "schema"`, 1)
	doc, err := ReadJSON(strings.NewReader(later))
	if err != nil || len(doc.Clips) != 3 {
		t.Errorf("%v, %d clips", err, len(doc.Clips))
	}
	for _, bad := range []string{"", "{", "[]", `{"schema": "other/audit/9"}`, "not json"} {
		if _, err := ReadJSON(strings.NewReader(bad)); err == nil {
			t.Errorf("%q is read", bad)
		}
		if _, err := ReadComparisonJSON(strings.NewReader(bad)); err == nil {
			t.Errorf("%q is read as a comparison", bad)
		}
	}
}

func TestWritersThatFail(t *testing.T) {
	for _, left := range []int{0, 40, 1500} {
		if err := WriteJSON(&reporttest.Failing{Left: left}, day()); !errors.Is(err, reporttest.ErrFull) {
			t.Errorf("with room for %d bytes: %v", left, err)
		}
		if err := WriteComparisonJSON(&reporttest.Failing{Left: left}, &Comparison{Clips: day().Clips}); !errors.Is(err,
			reporttest.ErrFull) {
			t.Errorf("a comparison with room for %d bytes: %v", left, err)
		}
	}
}

// Whatever is not known, or not finite, is null, and is read back as not measured.
func TestJSONOfUnknown(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		text := jsonOf(t, reporttest.Unknown(v))
		back, err := ReadJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if again := jsonOf(t, back); again != text {
			t.Errorf("with %g what was read is not written the same", v)
		}
		c := &back.Clips[0]
		for name, quantity := range map[string]float64{"placement": float64(c.Placement.Stops),
			"floor":    float64(c.Noise.Floor),
			"headroom": float64(c.Highlights.Headroom), "share": float64(c.Highlights.Clipped.Any),
			"read": float64(c.Noise.Model.Read),
			"tone": float64(c.Noise.Tones[1].Scene), "duration": float64(c.Duration)} {
			if !math.IsNaN(quantity) {
				t.Errorf("with %g %s is read as %g", v, name, quantity)
			}
		}
	}
}

// A document of schema 1 is read: what it does not have is unknown, and its hold without grey is no
// advice.
func TestReadSchema1(t *testing.T) {
	doc := reporttest.Shoot(t)
	if doc.Schema != Schema || !doc.Complete || len(doc.Clips) == 0 {
		t.Fatalf("schema %q, complete %v, %d clips", doc.Schema, doc.Complete, len(doc.Clips))
	}
	for _, c := range doc.Clips {
		a, p := c.Advice, c.Placement
		weak := p == nil || p.Weak
		if none := a.Action == advise.None; none != (weak && a.Correction() == 0) || none == curve.Finite(a.Offset) {
			t.Errorf("%s: %s by %v, grey %+v", c.Path, a.Action, a.Offset, p)
		}
		if !weak && a.Offset != a.Correction() {
			t.Errorf("%s: %s by %v, offset %v", c.Path, a.Action, a.Stops, a.Offset)
		}
		if curve.Finite(a.Low) || curve.Finite(a.After.High) || p != nil && curve.Finite(p.Reading) {
			t.Errorf("%s has intervals that schema 1 does not have", c.Path)
		}
	}
}

// A document that does not hold its clips is written with them, and knows their paths and which of them
// are to be checked by eye. The golden file tells that the list is as encoding/json writes it.
func TestStreamedClips(t *testing.T) {
	whole := day()
	streamed := *whole
	streamed.Clips, streamed.Stream = nil, &Stream{Each: whole.EachClip}
	for i := range whole.Clips {
		streamed.Stream.Add(&whole.Clips[i])
	}
	if !slices.Equal(streamed.Paths(), whole.Paths()) || !slices.Equal(streamed.Urgent(), whole.Urgent()) ||
		streamed.Measured() != len(whole.Clips) || len(whole.Urgent()) == 0 {
		t.Errorf("paths %q, urgent %q, %d measured", streamed.Paths(), streamed.Urgent(), streamed.Measured())
	}
	var got, want bytes.Buffer
	if err := errors.Join(WriteJSON(&got, &streamed), WriteJSON(&want, whole)); err != nil {
		t.Fatal(err)
	}
	if got.String() != want.String() || len(whole.Clips) < 2 {
		t.Error("they differ")
	}
}
