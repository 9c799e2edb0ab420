package report_test

import (
	"encoding"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	. "stopledger/report"
)

// schemaFields are the fields of schema stopledger/audit/1, and newFields what schema 2 added: none
// may be renamed or removed.
const schemaFields = `
schema tool settings clips failed tool.name tool.version failed.path failed.error clips.path clips.bytes
clips.container clips.codec clips.profile clips.pixel_format clips.bits clips.chroma clips.width clips.height
clips.frame_rate clips.frames clips.duration_s clips.timecode clips.range.value clips.range.origin
clips.matrix.value clips.matrix.origin clips.camera clips.camera.iso clips.curve.name clips.curve.origin
clips.curve.mid_grey.code clips.curve.mid_grey.percent clips.sampling.mode clips.sampling.groups
clips.sampling.frames_measured clips.placement.stops clips.placement.low clips.placement.high
clips.placement.method clips.placement.code clips.placement.percent clips.placement.region.x
clips.placement.region.y clips.placement.region.w clips.placement.region.h clips.placement.drift_stops
clips.placement.series.t_s clips.placement.series.stops clips.noise.floor_stops clips.noise.suppressed
clips.noise.suppressed_reason clips.noise.model.read_linear clips.noise.model.shot_linear
clips.noise.tones.recorded_stops clips.noise.tones.scene_stops clips.noise.tones.code
clips.noise.tones.sigma_code clips.noise.tones.sigma_linear clips.noise.tones.snr_db clips.noise.tones.low_db
clips.noise.tones.high_db clips.noise.tones.cells clips.highlights.ceiling.code
clips.highlights.ceiling.percent clips.highlights.ceiling.recorded_stops clips.highlights.ceiling.origin
clips.highlights.headroom_stops clips.highlights.clipped.r clips.highlights.clipped.g
clips.highlights.clipped.b clips.highlights.clipped.any clips.highlights.clipped.all clips.highlights.areas.x
clips.highlights.areas.y clips.highlights.areas.w clips.highlights.areas.h clips.highlights.areas.share
clips.highlights.areas.kind clips.highlights.areas.from_s clips.highlights.areas.to_s clips.advice.action
clips.advice.stops clips.advice.summary clips.advice.findings.id clips.advice.findings.level
clips.advice.findings.text clips.advice.after.snr_db clips.advice.after.nominal_snr_db
clips.advice.after.gain_db clips.advice.after.ceiling_display_percent clips.advice.next_take.stops
clips.advice.next_take.zebra_percent clips.advice.next_take.text
`

const newFields = `
complete not_reached skipped clips.placement.reading_error_stops clips.placement.reference_error_stops
clips.highlights.undecided clips.highlights.headroom_bound clips.highlights.channels.r.code
clips.highlights.channels.r.origin clips.highlights.clipped_low clips.highlights.clipped_high
clips.noise.floor_low_stops clips.noise.floor_high_stops clips.noise.floor_bound clips.noise.unmeasured_reason
clips.noise.coding.loss_db clips.noise.coding.low_db clips.noise.coding.high_db clips.noise.coding.origin
clips.advice.offset_stops clips.advice.low_stops clips.advice.high_stops
settings.intended_stops settings.rules clips.advice.target_stops clips.advice.intended_stops clips.advice.rules
clips.advice.after.snr_low_db clips.advice.after.snr_high_db clips.advice.after.display
`

func TestSchema(t *testing.T) {
	have := documentFields(t)
	for _, name := range strings.Fields(schemaFields + newFields) {
		if !slices.Contains(have, name) {
			t.Errorf("schema field %s is gone", name)
		}
	}
	if Schema != "stopledger/audit/2" {
		t.Errorf("schema is called %q", Schema)
	}
}

// documentFields are the names of all fields of the golden documents, joined by dots.
func documentFields(t *testing.T) (names []string) {
	t.Helper()
	for _, text := range []string{jsonOf(t, day()), jsonOf(t, fullDay())} {
		var v any
		if err := json.Unmarshal([]byte(text), &v); err != nil {
			t.Fatal(err)
		}
		names = append(names, fieldsOf(v, "")...)
	}
	return names
}

// fullDay has an entry in every list of which the schema names fields.
func fullDay() *Document {
	doc := day()
	c := &doc.Clips[0]
	c.Highlights.Areas = doc.Clips[2].Highlights.Areas
	return doc
}

func fieldsOf(v any, prefix string) (names []string) {
	switch v := v.(type) {
	case []any:
		for _, entry := range v {
			names = append(names, fieldsOf(entry, prefix)...)
		}
	case map[string]any:
		for name, value := range v {
			names = append(names, prefix+name)
			names = append(names, fieldsOf(value, prefix+name+".")...)
		}
	}
	return names
}

// Every field has a name in lower case of its own: none is written by the name it has in Go, and
// none hides another.
func TestEveryFieldHasAName(t *testing.T) {
	for _, typ := range []reflect.Type{reflect.TypeFor[Document](), reflect.TypeFor[Comparison]()} {
		for _, name := range namesOf(typ, typ.Name()+".") {
			last := name[strings.LastIndexByte(name, '.')+1:]
			if last == "" || last != strings.ToLower(last) {
				t.Errorf("field %q has no name in lower case", name)
			}
		}
	}
}

// namesOf lists the JSON names of a type and of all below it that encoding/json writes field by
// field.
func namesOf(typ reflect.Type, prefix string) (names []string) {
	switch typ.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		return namesOf(typ.Elem(), prefix)
	case reflect.Struct:
	default:
		return nil
	}
	if typ.Implements(reflect.TypeFor[json.Marshaler]()) || typ.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		return nil
	}
	for i := range typ.NumField() {
		f := typ.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-":
		case f.Anonymous:
			names = append(names, namesOf(f.Type, prefix)...)
		default:
			names = append(names, prefix+name)
			names = append(names, namesOf(f.Type, prefix+name+".")...)
		}
	}
	return names
}
