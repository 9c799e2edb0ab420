package html

import (
	"testing"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

func ptr[T any](v T) *T { return &v }

func setting(v metadata.Setting) *metadata.Setting { return &v }

// The page says what the recording says of the camera, and not twice what stands elsewhere on it.
func TestCameraFacts(t *testing.T) {
	said := func(c report.Clip) map[string]string {
		words := map[string]string{}
		for _, f := range cameraFacts(&c) {
			words[f.Label] = f.Value + "|" + f.Note
		}
		return words
	}
	if got := said(report.Clip{}); len(got) != 0 {
		t.Errorf("of no camera: %v", got)
	}
	if got := said(report.Clip{File: report.File{Timecode: "10:00:00:00", FrameRate: 25},
		Camera: &metadata.Camera{CaptureFPS: setting(25)}}); len(got) != 0 {
		t.Errorf("of a camera that says nothing more: %v", got)
	}
	c := report.Clip{File: report.File{Timecode: "10:00:00:00", FrameRate: 25},
		Camera: &metadata.Camera{Serial: "0012345", Timecode: "10:02:30:12", FocalMM: setting(50), IrisF: setting(2.8),
			IrisT: setting(3), ShutterS: ptr(curve.Seconds(0.02)), Tint: ptr(curve.Amount(-0.00315)), TintUnit: "Duv",
			CaptureFPS: setting(50), Changes: []string{"ISO 800 at first", "gain"}}}
	got := said(c)
	for label, want := range map[string]string{
		"Camera": "serial 0012345|", "Lens": "50 mm|", "Iris": "f/2.8, T3|", "Shutter": "1/50\u00a0s|",
		"White balance": "tint −0.00315 Duv|",
		"Captured at":   "50\u00a0fps|", "Timecode": "10:02:30:12|the camera's own",
		"Changed while recording": "ISO 800 at first; gain|",
	} {
		if got[label] != want {
			t.Errorf("%s: got %q, want %q", label, got[label], want)
		}
	}
}
