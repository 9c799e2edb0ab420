package main

import (
	"math"
	"strings"
	"testing"

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
	} {
		if v.got == nil || math.Abs(*v.got-v.want) > within {
			t.Errorf("%s: got %s, want %g", v.name, textOf(v.got), v.want)
		}
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
