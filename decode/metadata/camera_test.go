package metadata

import (
	"reflect"
	"slices"
	"testing"

	"stopledger/curve"
)

// Every number of a Camera is one of the quantities and every text one of its texts, so that no
// new field is forgotten when settings are merged.
func TestEverySettingIsMerged(t *testing.T) {
	var from, to Camera
	v := reflect.ValueOf(&from).Elem()
	for i := range v.NumField() {
		switch f := v.Field(i); {
		case f.Kind() == reflect.Pointer && f.Type().Elem().Kind() == reflect.Float64:
			f.Set(reflect.New(f.Type().Elem()))
			f.Elem().SetFloat(float64(i))
		case f.Kind() == reflect.String:
			f.SetString(v.Type().Field(i).Name)
		case f.Type() == reflect.TypeFor[*CDL]():
			f.Set(reflect.ValueOf(&CDL{}))
		}
	}
	to.fill(from)
	if !reflect.DeepEqual(to, from) {
		t.Errorf("got %+v, want %+v", to, from)
	}
	for i := range v.NumField() {
		one := Camera{}
		field := reflect.ValueOf(&one).Elem().Field(i)
		field.Set(v.Field(i))
		if name := v.Type().Field(i).Name; !field.IsZero() && name != "TintUnit" && one.empty() {
			t.Errorf("a camera with only %s counts as empty", name)
		}
	}
}

func TestFillKeepsWhatIsThere(t *testing.T) {
	c := Camera{Make: "first", ISO: set[Setting](800), Tint: set[curve.Amount](1), TintUnit: "CC"}
	c.fill(Camera{Make: "second", Model: "second", ISO: set[Setting](100), Tint: set[curve.Amount](0.1), TintUnit: "Duv"})
	if c.Make != "first" || c.Model != "second" || *c.ISO != 800 || *c.Tint != 1 || c.TintUnit != "CC" {
		t.Errorf("%+v", c)
	}
}

func TestChanges(t *testing.T) {
	iso := func(values ...float64) []Camera {
		var list []Camera
		for _, v := range values {
			list = append(list, Camera{ISO: positive(Setting(v)), IrisF: set[Setting](2.8)})
		}
		return list
	}
	for _, c := range []struct {
		frames []Camera
		want   []string
	}{
		{nil, nil},
		{iso(800), nil},
		{iso(800, 800, 800), nil},
		{iso(800, 1600), []string{"ISO 800 at first, ISO 1600 at last"}},
		{iso(0, 800, 0), nil},
		{iso(800, 3200, 800), []string{"ISO 800 at first, ISO 800 at last, from ISO 800 to ISO 3200 in between"}},
		{iso(800, 100, 400), []string{"ISO 800 at first, ISO 400 at last, from ISO 100 to ISO 800 in between"}},
		{[]Camera{{IrisF: set[Setting](2.801)}, {IrisF: set[Setting](2.803)}}, nil},
		{[]Camera{gained(-3, 0), gained(6, 2)},
			[]string{"gain -3.0 dB at first, gain +6.0 dB at last", "ND 0.0 stops at first, ND 2.0 stops at last"}},
	} {
		if got := changes(c.frames); !slices.Equal(got, c.want) {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func set[T ~float64](v T) *T { return &v }

func gained(db curve.Decibels, nd curve.Stops) Camera { return Camera{GainDB: &db, NDStops: &nd} }
