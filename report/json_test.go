package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func jsonOf(t *testing.T, doc Document) string {
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
	golden(t, "audit.json", text)
	var doc Document
	strictly(t, text, &doc)
	if again := jsonOf(t, doc); again != text {
		t.Error("what was read is not written the same")
	}
	for _, c := range doc.Clips {
		s := c.Highlights.Clipped
		for _, share := range []float64{s.R, s.G, s.B, s.Any, s.All} {
			if share < 0 || share > 1 {
				t.Errorf("%s: share %g", c.Path, share)
			}
		}
	}
}

// The standard library's encoder reads the same values from the same fields.
func TestJSONAgreesWithTheStandardEncoder(t *testing.T) {
	want, err := json.Marshal(day())
	if err != nil {
		t.Fatal(err)
	}
	var theirs, ours any
	if err := json.Unmarshal(want, &theirs); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(jsonOf(t, day())), &ours); err != nil {
		t.Fatal(err)
	}
	sameShape(t, "", ours, theirs)
}

// sameShape compares values; numbers to the rounding of the writer, and a list without entries
// with null.
func sameShape(t *testing.T, at string, ours, theirs any) {
	const rounding = 0.00005 // four decimals
	switch want := theirs.(type) {
	case map[string]any:
		got, ok := ours.(map[string]any)
		if !ok || len(got) != len(want) {
			t.Errorf("%s: got %v, want %v", at, ours, theirs)
			return
		}
		for k := range want {
			sameShape(t, at+"."+k, got[k], want[k])
		}
	case []any:
		got, ok := ours.([]any)
		if !ok || len(got) != len(want) {
			t.Errorf("%s: got %v, want %v", at, ours, theirs)
			return
		}
		for i := range want {
			sameShape(t, at, got[i], want[i])
		}
	case float64:
		if got, ok := ours.(float64); !ok || math.Abs(got-want) > rounding {
			t.Errorf("%s: got %v, want %v", at, ours, want)
		}
	case nil:
		if list, ok := ours.([]any); ours != nil && (!ok || len(list) > 0) {
			if m, ok := ours.(map[string]any); !ok || len(m) > 0 {
				t.Errorf("%s: got %v, want null", at, ours)
			}
		}
	default:
		if ours != theirs {
			t.Errorf("%s: got %v, want %v", at, ours, theirs)
		}
	}
}

func TestJSONHasNoNaN(t *testing.T) {
	text := jsonOf(t, brokenDay())
	var v map[string]any
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	clip := v["clips"].([]any)[0].(map[string]any)
	for _, path := range []string{"placement.stops", "frame_rate", "noise.floor_stops", "advice.after.snr_db", "highlights.ceiling.code"} {
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
}

// An empty document has empty lists, not null, so that a reader may walk them unseen.
func TestEmptyJSON(t *testing.T) {
	text := jsonOf(t, Document{Schema: Schema, Clips: []Clip{{}}})
	for _, part := range []string{`"failed": []`, `"tones": []`, `"areas": []`, `"findings": []`, `"over_time": []`, `"placement": null`, `"camera": null`, `"channel_ceilings": {}`} {
		if !strings.Contains(text, part) {
			t.Errorf("there is no %s in %s", part, text)
		}
	}
}

func TestRoundJSON(t *testing.T) {
	for _, test := range []struct {
		name    string
		v, want float64
	}{
		{"stops", 1.65123456, 1.6512}, {"stops", -1.65125, -1.6513}, {"code", 545.23456789, 545.2346},
		{"read_linear", 0.000312345678, 0.00031235}, {"shot_linear", 1.2345678e-15, 1.2346e-15}, {"sigma_linear", 123456.7, 123460},
		{"read_error", 9.99999e-7, 1e-6}, {"shot_linear", 0, 0}, {"read_linear", math.MaxFloat64, math.MaxFloat64},
		{"r", 0.0412345678, 0.041235}, {"share", 1e-7, 0}, {"peak_share", 1.0 / 3, 0.333333}, {"shares", 2.0 / 3, 0.666667},
		{"shutter_s", 1.0 / 8000, 0.000125}, {"frame_rate", 24000.0 / 1001, 23.976024}, {"stops", math.MaxFloat64, math.MaxFloat64},
	} {
		if got := roundJSON(test.name, test.v); got != test.want {
			t.Errorf("%s %g: got %g, want %g", test.name, test.v, got, test.want)
		}
		if again := roundJSON(test.name, roundJSON(test.name, test.v)); again != test.want {
			t.Errorf("%s %g: rounded again gives %g", test.name, test.v, again)
		}
	}
}

// The last bit of a number does not change the file.
func TestJSONIsStable(t *testing.T) {
	a, b := day(), day()
	c := &b.Clips[0]
	c.Placement.Stops = math.Nextafter(c.Placement.Stops, 2)
	c.Noise.Model.Read = math.Nextafter(c.Noise.Model.Read, 1)
	c.Highlights.Clipped.R = math.Nextafter(c.Highlights.Clipped.R, 1)
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
	}
}

// schemaFields are the fields of schema stopledger/audit/1: none may be renamed or removed.
const schemaFields = `
schema tool settings clips failed
tool.name tool.version failed.path failed.error
clips.path clips.bytes clips.container clips.codec clips.profile clips.pixel_format clips.bits clips.chroma clips.width
clips.height clips.frame_rate clips.frames clips.duration_s clips.timecode
clips.range.value clips.range.origin clips.matrix.value clips.matrix.origin clips.camera clips.camera.iso
clips.curve.name clips.curve.origin clips.curve.mid_grey.code clips.curve.mid_grey.percent
clips.sampling.mode clips.sampling.groups clips.sampling.frames_measured
clips.placement.stops clips.placement.low clips.placement.high clips.placement.method clips.placement.code clips.placement.percent
clips.placement.region.x clips.placement.region.y clips.placement.region.w clips.placement.region.h
clips.placement.drift_stops clips.placement.series.t_s clips.placement.series.stops
clips.noise.floor_stops clips.noise.suppressed clips.noise.suppressed_reason clips.noise.model.read_linear clips.noise.model.shot_linear
clips.noise.tones.recorded_stops clips.noise.tones.scene_stops clips.noise.tones.code clips.noise.tones.sigma_code
clips.noise.tones.sigma_linear clips.noise.tones.snr_db clips.noise.tones.low_db clips.noise.tones.high_db clips.noise.tones.cells
clips.highlights.ceiling.code clips.highlights.ceiling.percent clips.highlights.ceiling.recorded_stops clips.highlights.ceiling.origin
clips.highlights.headroom_stops clips.highlights.clipped.r clips.highlights.clipped.g clips.highlights.clipped.b
clips.highlights.clipped.any clips.highlights.clipped.all
clips.highlights.areas.x clips.highlights.areas.y clips.highlights.areas.w clips.highlights.areas.h clips.highlights.areas.share
clips.highlights.areas.kind clips.highlights.areas.from_s clips.highlights.areas.to_s
clips.advice.action clips.advice.stops clips.advice.summary clips.advice.findings.id clips.advice.findings.level clips.advice.findings.text
clips.advice.after.snr_db clips.advice.after.nominal_snr_db clips.advice.after.gain_db clips.advice.after.ceiling_display_percent
clips.advice.next_take.stops clips.advice.next_take.zebra_percent clips.advice.next_take.text
`

func TestSchema(t *testing.T) {
	have := fieldsOf(reflect.TypeFor[Document](), "")
	for _, name := range strings.Fields(schemaFields) {
		if !slices.Contains(have, name) {
			t.Errorf("schema field %s is gone", name)
		}
	}
	if Schema != "stopledger/audit/1" {
		t.Errorf("schema is called %q", Schema)
	}
}

// fieldsOf lists the JSON names of a type and of all below it, joined by dots, and fails the
// test's walk on a name that would not survive: every field has one.
func fieldsOf(typ reflect.Type, prefix string) (names []string) {
	switch typ.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		return fieldsOf(typ.Elem(), prefix)
	case reflect.Struct:
	default:
		return nil
	}
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous {
			names = append(names, fieldsOf(f.Type, prefix)...)
			continue
		}
		names = append(names, prefix+name)
		names = append(names, fieldsOf(f.Type, prefix+name+".")...)
	}
	return names
}

func TestEveryFieldHasAName(t *testing.T) {
	for _, name := range append(fieldsOf(reflect.TypeFor[Document](), ""), fieldsOf(reflect.TypeFor[Comparison](), "")...) {
		last := name[strings.LastIndexByte(name, '.')+1:]
		if last == "" || last != strings.ToLower(last) {
			t.Errorf("field %q has no name in lower case", name)
		}
	}
}

// A failing takes some bytes and then no more.
type failing struct{ left int }

var errFull = errors.New("no space left")

func (f *failing) Write(b []byte) (int, error) {
	if f.left -= len(b); f.left < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func TestWritersThatFail(t *testing.T) {
	for _, left := range []int{0, 40, 1500} {
		for name, err := range map[string]error{
			"json": WriteJSON(&failing{left}, day()), "csv": WriteCSV(&failing{left}, day()),
			"text": WriteText(&failing{min(left, 400)}, day(), Layout{}), "compare": WriteComparisonText(&failing{left}, Compare(day()), Layout{}),
			"compare json": WriteComparisonJSON(&failing{left}, Compare(day())), "compare csv": WriteComparisonCSV(&failing{left}, Compare(day())),
		} {
			if !errors.Is(err, errFull) {
				t.Errorf("%s with room for %d bytes: %v", name, left, err)
			}
		}
	}
}
