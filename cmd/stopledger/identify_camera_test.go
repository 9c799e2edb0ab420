package main

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/decode/acquisition"
	"stopledger/report"
)

// within is how exactly a camera's value comes back: iris is stored in 1/4096 stop.
const within = 5e-3

func TestCameraOfFrames(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "a.mp4")
	file := mustRead(t, path)
	mustWrite(t, path, withTrack(t, file, frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 1600)))
	c := auditedClip(t, path).Camera
	if c == nil {
		t.Fatal("no camera")
	}
	for _, v := range []struct {
		name string
		got  *float64
		want float64
	}{
		{"ISO", c.ISO, 800}, {"exposure index", c.ExposureIndex, 640}, {"gain", c.GainDB, -3}, {"shutter", c.ShutterS, 0.02},
		{"shutter angle", c.ShutterDeg, 180}, {"iris", c.IrisF, 2.80}, {"ND", c.NDStops, 2}, {"white balance", c.WhiteBalanceK, 5600}, {"rate", c.CaptureFPS, 25},
		{"focal length", c.FocalMM, 50},
	} {
		if v.got == nil || math.Abs(*v.got-v.want) > within {
			t.Errorf("%s: got %s, want %g", v.name, textOf(v.got), v.want)
		}
	}
	if c.Model != "Model Two" || c.Serial != "0012345" || c.Lens != "prime" || c.Exposure != "manual" || c.Timecode != "10:02:30:12" {
		t.Errorf("%+v", c)
	}
	if c.Tint == nil || *c.Tint != -0.00315 || c.TintUnit != "Duv" || c.FramesHeld != 3 || c.FramesRead != 3 {
		t.Errorf("tint %v %s, %d of %d frames read", c.Tint, c.TintUnit, c.FramesRead, c.FramesHeld)
	}
	if c.Gamut != "S-Gamut3.Cine" || len(c.Changes) != 1 || !strings.Contains(c.Changes[0], "ISO 1600 at last") {
		t.Errorf("gamut %q, changes %q", c.Gamut, c.Changes)
	}
}

func TestCameraOfSidecar(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "C0001.mp4")
	addSidecar("s-log3-cine")(t, path)
	clip := auditedClip(t, path)
	c := clip.Camera
	if c == nil || c.Make != "Sony" || c.Model != "ILME-FX3" || c.Gamut != "S-Gamut3.Cine" || c.CaptureFPS == nil || *c.CaptureFPS != 25 || c.ISO != nil {
		t.Errorf("%+v", c)
	}
	if clip.Timecode != "19:57:30:17" { // frames 17, seconds 30, minutes 57, hours 19
		t.Errorf("timecode %q", clip.Timecode)
	}
}

func textOf(v *float64) string {
	if v == nil {
		return report.Absent
	}
	return report.SignedStops(*v, 3)
}

// Whatever is read of a camera is told: no setting can be left out without the document changing.
func TestEverySettingIsPassedOn(t *testing.T) {
	full := filledCamera()
	want := cameraOf(acquisition.Record{Camera: full})
	settings := reflect.ValueOf(full).Elem()
	for i := range settings.NumField() {
		less := *full
		reflect.ValueOf(&less).Elem().Field(i).SetZero()
		if cmp.Equal(want, cameraOf(acquisition.Record{Camera: &less})) {
			t.Errorf("%s is not passed on", settings.Type().Field(i).Name)
		}
	}
	told := reflect.ValueOf(want).Elem()
	for i := range told.NumField() {
		if told.Field(i).IsZero() {
			t.Errorf("%s is never filled in", told.Type().Field(i).Name)
		}
	}
	if cameraOf(acquisition.Record{}) != nil {
		t.Error("a clip that says nothing has a camera")
	}
}

// filledCamera has a value of its own in every field.
func filledCamera() *acquisition.Camera {
	c := &acquisition.Camera{}
	v := reflect.ValueOf(c).Elem()
	for i := range v.NumField() {
		number := float64(i + 1)
		switch f := v.Field(i); f.Interface().(type) {
		case string:
			f.SetString(v.Type().Field(i).Name)
		case int:
			f.SetInt(int64(i + 1))
		case *float64:
			f.Set(reflect.ValueOf(&number))
		case *acquisition.CDL:
			f.Set(reflect.ValueOf(&acquisition.CDL{Slope: [3]float64{number}}))
		case []string:
			f.Set(reflect.ValueOf([]string{"ISO 800 at first, ISO 1600 at last"}))
		}
	}
	return c
}
