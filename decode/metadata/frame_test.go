package metadata

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

// The worked sample's values are those it was made from: F2.8, 1/50 s, -3 dB, ISO 800, EI 640,
// 5600 K, ND 1/4, 25 frames/s, 180 degrees, S-Gamut3.Cine/S-Log3. ExifTool 12.57 agrees on F2.8,
// 1/50 and ISO 800, FFmpeg 5.1.9 on the timecode.
func TestWorkedSample(t *testing.T) {
	p := build.WorkedSample()
	if len(p) != 228 {
		t.Fatalf("the sample has %d bytes", len(p))
	}
	f, err := rtmdFrame(p)
	if err != nil || len(f.problems) > 0 || len(f.unknown) > 0 {
		t.Fatalf("error %v, problems %q, unknown %q", err, f.problems, f.unknown)
	}
	c := f.camera
	near(t, "iris", c.IrisF, 2.80, printed)
	near(t, "shutter", c.ShutterS, 1.0/50, 0)
	near(t, "angle", c.ShutterAngleDeg, 180, 0)
	near(t, "gain", c.GainDB, -3, 0)
	near(t, "ISO", c.ISO, 800, 0)
	near(t, "EI", c.ExposureIndex, 640, 0)
	near(t, "white balance", c.WhiteBalanceK, 5600, 0)
	near(t, "ND", c.NDStops, 2, 0)
	near(t, "rate", c.CaptureFPS, 25, 0)
	if c.Timecode != "10:02:30:12" || c.Gamut != "S-Gamut3.Cine" || c.Coding != "BT.709" {
		t.Errorf("timecode %s, gamut %s, coding %s", c.Timecode, c.Gamut, c.Coding)
	}
	if m := gammaOf(f.gamma.label); m.curve != "S-Log3" {
		t.Errorf("curve %+v", m)
	}
	near(t, "CDL slope", &c.Looks.Slope[1], 1, 0)
	near(t, "CDL offset", &c.Looks.Offset[2], -0.0770, 0.00005)
	near(t, "CDL power", &c.Looks.Power[0], 1, 0)
	near(t, "CDL saturation", &c.Looks.Saturation, 1, 0)
}

// A label of 12 bytes is an error of that item; the items around it are read.
func TestShortLabelCostsOneItem(t *testing.T) {
	sets := build.KLV(build.CameraKey, build.Item(0x810B, build.U16(800)),
		build.Item(0x3210, build.Unhex(build.SLog3Cine)[:12]), build.Item(0x3219, build.Unhex(build.SGamut3Cine)))
	f := setsFrame(sets, "test")
	if f.gamma != nil || f.camera.ISO == nil || f.camera.Gamut != "S-Gamut3.Cine" {
		t.Errorf("%+v", f)
	}
	if len(f.problems) != 1 || !strings.Contains(f.problems[0], "item 3210: a label of 12 bytes") {
		t.Errorf("problems %q", f.problems)
	}
}

// A header of another length than 28 is followed; one too short for a timecode has none.
func TestHeaderGivesItsOwnLength(t *testing.T) {
	sets := build.CameraSets(build.SLog3Cine, 800, 0x8000)
	long := build.Join([]byte{0, 40}, make([]byte, 38), sets)
	copy(long[13:], []byte{1, 2, 3, 1, 4})
	short := build.Join([]byte{0, 6}, make([]byte, 4), sets)
	for _, c := range []struct {
		sample   []byte
		timecode string
	}{{long, "01:02:03;04"}, {short, ""}} {
		f, err := rtmdFrame(c.sample)
		if err != nil || f.camera.ISO == nil || f.camera.Timecode != c.timecode {
			t.Errorf("header of %d: error %v, %+v", c.sample[1], err, f.camera)
		}
	}
}

func TestLongItemsAreTaken(t *testing.T) {
	sets := build.KLV(build.CameraKey,
		build.Item(0x811E, build.U32(102400)), build.Item(0x810B, build.U16(65535)),
		build.Item(0x8115, build.U16(65535)), build.Item(0x8119, build.U32(80000)))
	c := setsFrame(sets, "test").camera
	near(t, "ISO", c.ISO, 102400, 0)
	near(t, "EI", c.ExposureIndex, 80000, 0)
}

// 810A is signed: FE D4 is -3.00 dB, not 652.36 dB. 811F is signed too.
func TestSignedItems(t *testing.T) {
	sets := build.KLV(build.CameraKey, build.Item(0x810A, build.Unhex("FE D4")), build.Item(0x811F, build.Unhex("FF 9C")))
	c := setsFrame(sets, "test").camera
	near(t, "gain", c.GainDB, -3, 0)
	near(t, "tint", c.Tint, -0.001, 1e-15)
	if c.TintUnit != "Duv" {
		t.Errorf("tint in %q", c.TintUnit)
	}
}

// Zeros and fractions over nothing are settings that were not said.
func TestUnsetItems(t *testing.T) {
	sets := build.Join(
		build.KLV(build.LensKey, build.Item(0x8000, build.U16(0)), build.Item(0x8005, build.U16(0))),
		build.KLV(build.CameraKey, build.Item(0x8103, build.U16(0)),
			build.Item(0x8106, build.Join(build.U32(25), build.U32(0))), build.Item(0x8108, build.U32(0)),
			build.Item(0x8109, build.Join(build.U32(0), build.U32(0))), build.Item(0x810B, build.U16(0)), build.Item(0x810E,
				build.U16(0))))
	if c := setsFrame(sets, "test").camera; !c.empty() {
		t.Errorf("%+v", c)
	}
}

func TestLensAndCameraTexts(t *testing.T) {
	sets := build.Join(
		build.KLV(build.LensKey, build.Item(0x8005, build.U16(0xD032)),
			build.Item(0x8007, []byte("35 mm prime\x00\x00")), build.Item(0x8008, build.U16(0xC000))),
		build.KLV(build.CameraKey, build.Item(0x8114, []byte("Model Two 0012345\x00")),
			build.Item(0x8100, build.Unhex("060E2B34 0401010B 05100101 01040000"))))
	c := setsFrame(sets, "test").camera
	near(t, "focal length", c.FocalMM, 50, 1e-12)
	near(t, "T", c.IrisT, 4, 0)
	if c.Lens != "35 mm prime" || c.Model != "Model Two" || c.Serial != "0012345" || c.Exposure != "iris priority" {
		t.Errorf("%+v", c)
	}
	if m, s := modelAndSerial("Model 35"); m != "Model 35" || s != "" {
		t.Errorf("a model that ends in a number: %q, %q", m, s)
	}
}

// The user set is asked only under an identifier that is known, and only for a missing ISO.
func TestUserSetISO(t *testing.T) {
	iso := build.Item(0xE301, build.U32(3200))
	known := build.KLV(build.UserKey, build.Item(0xE000, build.Unhex("966908004678031C 20500000F0C01181")), iso)
	known2 := build.KLV(build.UserKey, build.Item(0xE000, build.Unhex("966908004678031C 20500002F0C01181")), iso)
	foreign := build.KLV(build.UserKey, build.Item(0xE000, build.Unhex("966908004678031C 2050AA00F0C01181")), iso)
	near(t, "known", setsFrame(known, "test").camera.ISO, 3200, 0)
	near(t, "known", setsFrame(known2, "test").camera.ISO, 3200, 0)
	if c := setsFrame(foreign, "test").camera; c.ISO != nil {
		t.Errorf("foreign: ISO %g", *c.ISO)
	}
	near(t, "both", setsFrame(build.Join(known, build.KLV(build.CameraKey, build.Item(0x810B, build.U16(800)))),
		"test").camera.ISO, 800, 0)
}

// The sets under 0E15 carry gamma and primaries in items of their own, or public labels.
func TestPrivateSets(t *testing.T) {
	own := build.KLV(build.Key15,
		build.Item(0xE211, build.Unhex("060E2B34 0401010D 0E150001 07000000")),
		build.Item(0xE212, build.Unhex("060E2B34 0401010D 0E150002 02000000")), build.Item(0x810B, build.U16(800)))
	f := setsFrame(build.Join(build.KLV(build.Key15Lens, build.Item(0x8000, build.U16(0x8000))), own), "test")
	if f.gamma == nil || gammaOf(f.gamma.label).curve != "Canon Log 3" || f.camera.Gamut != "Cinema Gamut" {
		t.Errorf("own items: %+v", f)
	}
	near(t, "iris", f.camera.IrisF, 16, 0)
	public := build.KLV(build.Key15, build.Item(0x3210, build.Unhex("060E2B34 0401010D 04010101 01100000")))
	if f := setsFrame(public, "test"); f.gamma == nil || gammaOf(f.gamma.label).curve != "Canon Log 2" {
		t.Errorf("public label: %+v", f)
	}
}

func TestLengthPastTheEndOfASample(t *testing.T) {
	endless := bytes.Replace(build.WorkedSample(), build.Unhex("83 00 00 9A"), build.Unhex("84 FF FF FF FF"), 1)
	f, err := rtmdFrame(endless)
	if err != nil || f.camera.IrisF == nil || f.camera.ISO != nil || len(f.problems) != 1 {
		t.Errorf("error %v, %+v", err, f)
	}
}

// rtmdFrame reads a sample as that of a clip.
func rtmdFrame(p []byte) (frame, error) {
	in := found(build.RTMDClip([][]byte{p}))
	if len(in.Frames) == 0 {
		return frame{}, fmt.Errorf("%q", in.Problems)
	}
	return frameFrom(in.Frames[0]), nil
}

// setsFrame reads sets.
func setsFrame(p []byte, where string) frame {
	return frameFrom(container.Frame{Sets: p, Where: where})
}
