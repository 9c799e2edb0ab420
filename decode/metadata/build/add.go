package build

import (
	"bytes"
	"os"
	"testing"
)

// ReadFile returns the content of a file that must be there.
func ReadFile(t testing.TB, path string) []byte {
	t.Helper()
	p, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// WriteFile writes a file, which must work.
func WriteFile(t testing.TB, path string, content []byte) {
	t.Helper()
	if err := os.WriteFile(path, content, 0o644); err != nil {
		t.Fatal(err)
	}
}

// ReplaceAll writes other bytes over every place where old stands in a file.
func ReplaceAll(t *testing.T, path string, old, with []byte) {
	t.Helper()
	file := ReadFile(t, path)
	if !bytes.Contains(file, old) {
		t.Fatalf("%s does not hold % X", path, old)
	}
	WriteFile(t, path, bytes.ReplaceAll(file, old, with))
}

// AddTrack gives a clip four frames of settings that say S-Log3.
func AddTrack(t *testing.T, path string) { AddTrackOf(LabelSLog3)(t, path) }

// AddTrackOf gives a clip four frames of settings with a label of gamma.
func AddTrackOf(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		sample := FrameSettings(gamma, 800)
		WriteFile(t, path, WithTrack(t, ReadFile(t, path), sample, sample, sample, sample))
	}
}

// AddMeta puts a document that names a gamma at the end of a clip.
func AddMeta(gamma string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		WriteFile(t, path, Join(ReadFile(t, path), ClipXML(CameraXML(gamma, "s-gamut3-cine"))))
	}
}

// AddDescriptor puts the label of a camera log, which FFmpeg 5.1 cannot write, in place of HLG.
func AddDescriptor(t *testing.T, path string) {
	ReplaceAll(t, path, Unhex(LabelHLG)[8:], Unhex(LabelCameraLog)[8:])
}

// AddAll does one thing after the other.
func AddAll(adds ...func(*testing.T, string)) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		for _, add := range adds {
			add(t, path)
		}
	}
}
