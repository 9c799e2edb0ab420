package report

import "testing"

// The page says what the recording says of the camera, and not twice what stands elsewhere on it.
func TestCameraFacts(t *testing.T) {
	said := func(c Clip) map[string]string {
		words := map[string]string{}
		for _, f := range cameraFacts(c) {
			words[f.Label] = f.Value + "|" + f.Note
		}
		return words
	}
	if got := said(Clip{}); len(got) != 0 {
		t.Errorf("of no camera: %v", got)
	}
	if got := said(Clip{Timecode: "10:00:00:00", FrameRate: 25, Camera: &Camera{CaptureFPS: ptr(25.0)}}); len(got) != 0 {
		t.Errorf("of a camera that says nothing more: %v", got)
	}
	c := Clip{Timecode: "10:00:00:00", FrameRate: 25, Camera: &Camera{Serial: "0012345", Timecode: "10:02:30:12", FocalMM: ptr(50.0), IrisF: ptr(2.8),
		IrisT: ptr(3.0), ShutterS: ptr(0.02), Tint: ptr(-0.00315), TintUnit: "Duv", CaptureFPS: ptr(50.0), Changes: []string{"ISO 800 at first", "gain"}}}
	got := said(c)
	for label, want := range map[string]string{
		"Camera": "serial 0012345|", "Lens": "50 mm|", "Iris": "f/2.8, T3|", "Shutter": "1/50\u00a0s|", "White balance": "tint −0.00315 Duv|",
		"Captured at": "50\u00a0fps|", "Timecode": "10:02:30:12|the camera's own", "Changed while recording": "ISO 800 at first; gain|",
	} {
		if got[label] != want {
			t.Errorf("%s: got %q, want %q", label, got[label], want)
		}
	}
}
