// Package schema tells how the documents are laid out, as JSON Schemas of the types that they are
// written from.
package schema

import (
	"encoding"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"

	"stopledger/report"
)

// documents are those that have a schema, by the verb that writes them.
var documents = map[string]struct {
	name string
	of   any
}{
	"adjust":  {report.AdjustSchema, report.Adjusted{}},
	"audit":   {report.Schema, report.Document{}},
	"compare": {report.CompareSchema, report.Comparison{}},
	"ledger":  {report.DaysSchema, report.Days{}},
	"match":   {report.MatchSchema, report.Matching{}},
	"plan":    {report.PlanSchema, report.Plan{}},
	"profile": {report.ProfileSchema, report.Profile{}},
}

// Verbs are those whose documents have a schema, in order.
func Verbs() []string { return slices.Sorted(maps.Keys(documents)) }

// An object is a JSON object.
type object map[string]any

// Of returns the JSON Schema (draft 2020-12) of a verb's document, indented; ok is false for a verb
// without one. Objects may hold more fields than it names: fields are added in later versions.
func Of(verb string) (text []byte, ok bool) {
	d, ok := documents[verb]
	if !ok {
		return nil, false
	}
	g := generator{defs: object{}, names: map[reflect.Type]string{}}
	top := g.structure(reflect.TypeOf(d.of))
	top["$schema"], top["title"] = "https://json-schema.org/draft/2020-12/schema", d.name
	top["properties"].(object)["schema"] = object{"const": d.name}
	top["$defs"] = g.defs
	text, err := json.MarshalIndent(top, "", "  ")
	return append(text, '\n'), err == nil
}

// A generator names each struct once.
type generator struct {
	defs  object
	names map[reflect.Type]string
}

var (
	ownJSON = reflect.TypeFor[json.Marshaler]()
	ownText = reflect.TypeFor[encoding.TextMarshaler]()
)

// schema is that of one type.
func (g *generator) schema(t reflect.Type) object {
	switch {
	case t.Kind() == reflect.Pointer:
		return object{"anyOf": []object{g.schema(t.Elem()), {"type": "null"}}}
	case t.Implements(ownJSON):
		return ownWay(t)
	case t.Implements(ownText):
		return object{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Bool:
		return object{"type": "boolean"}
	case reflect.String:
		return object{"type": "string"}
	case reflect.Float32, reflect.Float64:
		return object{"type": "number"}
	case reflect.Slice:
		return object{"type": "array", "items": g.schema(t.Elem())}
	case reflect.Array:
		return object{"type": "array", "items": g.schema(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Map:
		return object{"type": "object", "additionalProperties": g.schema(t.Elem())}
	case reflect.Struct:
		return object{"$ref": "#/$defs/" + g.define(t)}
	case reflect.Interface:
		return object{}
	}
	return object{"type": "integer"}
}

// ownWay is the schema of a type that writes itself: a quantity is a number, or null where it is not
// known, and a word may be null.
func ownWay(t reflect.Type) object {
	switch t.Kind() {
	case reflect.Float64:
		return object{"type": []string{"number", "null"}, "description": strings.ToLower(t.Name())}
	case reflect.String:
		return object{"type": []string{"string", "null"}}
	case reflect.Struct:
		return object{"type": "object"}
	}
	return object{}
}

// define puts a struct among the definitions and returns its name there.
func (g *generator) define(t reflect.Type) string {
	if name, ok := g.names[t]; ok {
		return name
	}
	name := plain(t.Name())
	if _, taken := g.defs[name]; taken || name == "" {
		name = strings.ReplaceAll(strings.TrimPrefix(t.PkgPath(), "stopledger/"), "/", ".") + "." + name
	}
	g.names[t] = name
	g.defs[name] = object{} // taken
	g.defs[name] = g.structure(t)
	return name
}

// plain is the name of a type without the packages of its arguments: Span[stopledger/curve.Stops] is
// SpanOfStops.
func plain(name string) string {
	of, argument, generic := strings.Cut(strings.TrimSuffix(name, "]"), "[")
	if !generic {
		return name
	}
	return of + "Of" + argument[strings.LastIndex(argument, ".")+1:]
}

func (g *generator) structure(t reflect.Type) object {
	properties, required := object{}, []string{}
	g.fields(t, properties, &required)
	slices.Sort(required)
	s := object{"type": "object", "properties": properties}
	if len(required) > 0 {
		s["required"] = slices.Compact(required)
	}
	return s
}

// fields adds a struct's fields as encoding/json writes them: embedded structs have theirs written among
// the others.
func (g *generator) fields(t reflect.Type, properties object, required *[]string) {
	for i := range t.NumField() {
		f := t.Field(i)
		tag := f.Tag.Get("json")
		name, options, _ := strings.Cut(tag, ",")
		switch {
		case tag == "-":
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Pointer:
			g.fields(f.Type.Elem(), properties, new([]string)) // it may be nil
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct && !f.Type.Implements(ownJSON):
			g.fields(f.Type, properties, required)
		case f.IsExported():
			if name == "" {
				name = f.Name
			}
			properties[name] = g.schema(f.Type)
			if !strings.Contains(options, "omitempty") && !strings.Contains(options, "omitzero") {
				*required = append(*required, name)
			}
		}
	}
}
