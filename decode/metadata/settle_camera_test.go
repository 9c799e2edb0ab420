package metadata_test

import (
	"math"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
)

// What a camera wrote for each frame of an encoded clip; iris is stored in 1/4096 stop.
func TestCameraOfFrames(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "a.mp4")
	first, last := build.FrameSettings(build.LabelSLog3, 800), build.FrameSettings(build.LabelSLog3, 1600)
	build.WriteFile(t, path, build.WithTrack(t, build.ReadFile(t, path), first, first, last))
	_, rec := read(t, path)
	c := rec.Camera
	if c == nil {
		t.Fatal("no camera")
	}
	const within = 5e-3
	near(t, "ISO", c.ISO, 800, within)
	near(t, "exposure index", c.ExposureIndex, 640, within)
	near(t, "gain", c.GainDB, -3, within)
	near(t, "shutter", c.ShutterS, 0.02, within)
	near(t, "shutter angle", c.ShutterAngleDeg, 180, within)
	near(t, "iris", c.IrisF, 2.80, within)
	near(t, "ND", c.NDStops, 2, within)
	near(t, "white balance", c.WhiteBalanceK, 5600, within)
	near(t, "rate", c.CaptureFPS, 25, within)
	near(t, "focal length", c.FocalMM, 50, within)
	near(t, "tint", c.Tint, -0.00315, 1e-15)
	if c.Model != "Model Two" || c.Serial != "0012345" || c.Lens != "prime" || c.Exposure != "manual" ||
		c.Timecode != "10:02:30:12" || c.TintUnit != "Duv" || c.SetsHeld != 3 || c.SetsRead != 3 {
		t.Errorf("%+v", c)
	}
	if c.Gamut != "S-Gamut3.Cine" || len(c.Changes) != 1 || !strings.Contains(c.Changes[0], "ISO 1600 at last") {
		t.Errorf("gamut %q, changes %q", c.Gamut, c.Changes)
	}
}

func near[T ~float64](t *testing.T, what string, got *T, want, within float64) {
	t.Helper()
	if got == nil || math.Abs(float64(*got)-want) > within {
		t.Errorf("%s: got %v, want %g", what, got, want)
	}
}

func TestCameraOfSidecar(t *testing.T) {
	path := take{curve: "S-Log3"}.file(t, "C0001.mp4")
	addSidecar("s-log3-cine")(t, path)
	_, rec := read(t, path)
	c := rec.Camera
	if c == nil || c.Make != "Sony" || c.Model != "ILME-FX3" || c.Gamut != "S-Gamut3.Cine" || c.ISO != nil {
		t.Fatalf("%+v", c)
	}
	near(t, "rate", c.CaptureFPS, 25, 0)
	if c.Timecode != "19:57:30:17" { // frames 17, seconds 30, minutes 57, hours 19
		t.Errorf("timecode %q", c.Timecode)
	}
	if _, rec := read(t, take{curve: "S-Log3"}.file(t, "bare.mp4")); rec.Camera != nil {
		t.Errorf("a clip that says nothing has a camera: %+v", rec.Camera)
	}
}
