package metadata

import (
	"encoding/json"
	"reflect"
	"testing"

	"stopledger/curve"
)

// The settings of an audit as its document of schema stopledger/audit/1 has them.
func TestReadAsInJSON(t *testing.T) {
	slog3 := curveNamed(t, "slog3")
	for _, c := range []struct {
		as   ReadAs
		want string
	}{
		{ReadAs{}, `{"curve":"auto","assume":"","ei":0,"range":"auto","matrix":"auto"}`},
		{ReadAs{Curve: CurveName{"S-Log3", slog3}, Index: 800, Range: FullRange, Matrix: BT2020},
			`{"curve":"S-Log3","assume":"","ei":800,"range":"full","matrix":"bt2020"}`},
		{ReadAs{Assume: AssumedName{"slog3", slog3}, Range: NarrowRange, Matrix: BT601},
			`{"curve":"auto","assume":"slog3","ei":0,"range":"narrow","matrix":"bt601"}`},
	} {
		got, err := json.Marshal(c.as)
		if err != nil || string(got) != c.want {
			t.Errorf("%s, %v, want %s", got, err, c.want)
		}
		var back ReadAs
		if err := json.Unmarshal(got, &back); err != nil {
			t.Fatal(err)
		}
		c.as.Curve.Curve, c.as.Assume.Curve = nil, nil // files are not looked for
		if back != c.as {
			t.Errorf("%+v comes back as %+v", c.as, back)
		}
	}
	for _, bad := range []string{`{"range":"wide"}`, `{"matrix":"bt202"}`} {
		if err := json.Unmarshal([]byte(bad), &ReadAs{}); err == nil {
			t.Errorf("%s is read without an error", bad)
		}
	}
}

// A camera as the document has it: every setting has a name, in this order; numbers that were not
// said are null, texts that were not said are left out.
func TestCameraInJSON(t *testing.T) {
	const silent = `{"focal_mm":null,"iso":null,"exposure_index":null,"gain_db":null,"shutter_s":null,` +
		`"shutter_angle_deg":null,"iris_f":null,"iris_t":null,"nd_stops":null,"white_balance_k":null,"tint":null,` +
		`"capture_fps":null,"look":null}`
	if got, err := json.Marshal(Camera{}); err != nil || string(got) != silent {
		t.Errorf("%s, %v", got, err)
	}
	iso, fps, shutter, tint := Setting(800), Setting(30000.0/1001), curve.Seconds(1.0/48), curve.Amount(-0.00315)
	c := Camera{Make: "m", Model: "o", Serial: "s", Lens: "l", Timecode: "t", ISO: &iso, Exposure: "manual",
		ShutterS: &shutter, Tint: &tint, TintUnit: "Duv", CaptureFPS: &fps, Gamut: "g", Coding: "BT.709",
		Looks: &CDL{Slope: [3]Setting{1, 1.00001, 1}, Power: [3]Setting{1, 1, 1}, Saturation: 1}, SetsHeld: 9, SetsRead: 5,
		Changes: []string{"ISO"}}
	const want = `{"make":"m","model":"o","serial":"s","lens":"l","focal_mm":null,"timecode":"t","iso":800,` +
		`"exposure_index":null,"gain_db":null,"exposure":"manual","shutter_s":0.020833,"shutter_angle_deg":null,` +
		`"iris_f":null,"iris_t":null,"nd_stops":null,"white_balance_k":null,"tint":-0.00315,"tint_unit":"Duv",` +
		`"capture_fps":29.97,"gamut":"g","matrix":"BT.709",` +
		`"look":{"slope":[1,1,1],"offset":[0,0,0],"power":[1,1,1],"saturation":1},` +
		`"settings_frames":9,"settings_frames_read":5,"changes":["ISO"]}`
	got, err := json.Marshal(c)
	if err != nil || string(got) != want {
		t.Errorf("%s, %v\nwant %s", got, err, want)
	}
	var back Camera
	if err := json.Unmarshal(got, &back); err != nil || *back.ISO != 800 || !reflect.DeepEqual(back.Changes, c.Changes) {
		t.Errorf("%+v, %v", back, err)
	}
}

// Every field of a camera has a name in the document.
func TestEverySettingIsInTheDocument(t *testing.T) {
	for i := range reflect.TypeFor[Camera]().NumField() {
		if f := reflect.TypeFor[Camera]().Field(i); f.Tag.Get("json") == "" {
			t.Errorf("%s has none", f.Name)
		}
	}
}
