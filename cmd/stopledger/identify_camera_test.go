package main

import (
	"math"
	"strings"
	"testing"
)

// within is how exactly a camera's value comes back: iris is stored in 1/4096 stop.
const within = 5e-3

// said is a setting's number, NaN where it is not said.
func said[T ~float64](v *T) float64 {
	if v == nil {
		return math.NaN()
	}
	return float64(*v)
}

func TestCameraOfFrames(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "a.mp4")
	file := mustRead(t, path)
	mustWrite(t, path, withTrack(t, file, frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 800), frameSettings(labelSLog3, 1600)))
	c := auditedClip(t, path).Camera
	if c == nil {
		t.Fatal("no camera")
	}
	for _, v := range []struct {
		name      string
		got, want float64
	}{
		{"ISO", said(c.ISO), 800}, {"exposure index", said(c.ExposureIndex), 640}, {"gain", said(c.GainDB), -3},
		{"shutter", said(c.ShutterS), 0.02}, {"shutter angle", said(c.ShutterAngleDeg), 180}, {"iris", said(c.IrisF), 2.80},
		{"ND", said(c.NDStops), 2}, {"white balance", said(c.WhiteBalanceK), 5600}, {"rate", said(c.CaptureFPS), 25},
		{"focal length", said(c.FocalMM), 50},
	} {
		if !(math.Abs(v.got-v.want) <= within) {
			t.Errorf("%s: got %g, want %g", v.name, v.got, v.want)
		}
	}
	if c.Model != "Model Two" || c.Serial != "0012345" || c.Lens != "prime" || c.Exposure != "manual" || c.Timecode != "10:02:30:12" {
		t.Errorf("%+v", c)
	}
	if c.Tint == nil || *c.Tint != -0.00315 || c.TintUnit != "Duv" || c.SetsHeld != 3 || c.SetsRead != 3 {
		t.Errorf("tint %v %s, %d of %d frames read", c.Tint, c.TintUnit, c.SetsRead, c.SetsHeld)
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
