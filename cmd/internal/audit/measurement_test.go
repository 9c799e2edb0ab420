package audit

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/placement"
	"stopledger/cmd/internal/exact"
	"stopledger/curve"
	"stopledger/curve/lut"
	"stopledger/decode"
	"stopledger/decode/synth"
	"stopledger/report"
)

// usual are settings as the flags leave them, for a curve that is named.
func usual(c *curve.Curve) analyze.Settings {
	var s analyze.Settings
	s.Grey, s.Reflectance, s.Pictures, s.Threads = placement.Auto, curve.MidGrey, true, 1
	s.Curve.Given, s.Curve.Curve = "named", c
	s.Lifts, s.Target, s.HoldGrey = []curve.Stops{1, 2}, 0.5, true
	return s
}

func fileCurve(t *testing.T) *curve.Curve {
	t.Helper()
	path := filepath.Join(t.TempDir(), "own.txt")
	if err := os.WriteFile(path, []byte("0 0.1\n0.09 0.3\n0.18 0.4\n0.9 0.7\n8 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := lut.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func published(t *testing.T, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A measurement that went through bytes gives the same document and the same pictures, to the byte:
// with a card and without, cut off, of a curve by index and of one from a file.
func TestMeasurementThroughBytes(t *testing.T) {
	slog3 := published(t, "slog3")
	for name, c := range map[string]struct {
		curve *curve.Curve
		scene func(w, h int) synth.Scene
		how   synth.Encoding
		shot  synth.Shot
		cut   bool
	}{
		"card":     {slog3, synth.Wheelhouse, synth.Encoding{Codec: synth.ProRes422}, synth.Shot{Stops: 1}, false},
		"no grey":  {slog3, synth.MessRoomWindow, synth.Encoding{Codec: synth.HEVC, LongGOP: true}, synth.Shot{}, false},
		"cut off":  {slog3, synth.Wheelhouse, synth.Encoding{Codec: synth.FFV1}, synth.Shot{Frames: 12}, true},
		"by index": {published(t, "LogC3 EI1600"), synth.Wheelhouse, synth.Encoding{Codec: synth.FFV1}, synth.Shot{}, false},
		"a file's": {fileCurve(t), synth.Wheelhouse, synth.Encoding{Codec: synth.FFV1}, synth.Shot{}, false},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "a.mov")
			if c.how.Codec == synth.FFV1 {
				path = filepath.Join(t.TempDir(), "a.mkv")
			}
			c.shot.Scene, c.shot.Seed, c.shot.Frames = c.scene(320, 180), 5, max(c.shot.Frames, 3)
			if _, err := synth.Record(path, synth.NewCamera(320, 180, slog3), c.shot, c.how); err != nil {
				t.Fatal(err)
			}
			if c.cut {
				cutOff(t, path)
			}
			checkThroughBytes(t, path, usual(c.curve))
		})
	}
}

func cutOff(t *testing.T, path string) {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, info.Size()*2/3); err != nil {
		t.Fatal(err)
	}
}

func checkThroughBytes(t *testing.T, path string, s analyze.Settings) {
	t.Helper()
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer clip.Close()
	s.Pictures = true
	m, shots, err := MeasureClip(t.Context(), clip, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer shots.Release()
	b, err := m.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	back, err := MeasurementFrom(b, s)
	if err != nil {
		t.Fatal(err)
	}
	written := func(m *Measurement, shots *analyze.Shots) []byte {
		doc := Conclude(m, s, nil)
		rendered, err := TakePictures(t.Context(), clip, shots, m, &doc, nil, nil, nil)
		if err != nil || rendered == nil {
			t.Fatal("no pictures", err)
		}
		doc.Pictures = &rendered.Names
		var all bytes.Buffer
		if err := report.WriteJSON(&all, &report.Document{Settings: s, Clips: []report.Clip{doc}}); err != nil {
			t.Fatal(err)
		}
		for _, f := range rendered.Files {
			all.Write(f.Data)
		}
		return all.Bytes()
	}
	if before, after := written(m, shots), written(back, nil); !bytes.Equal(before, after) {
		t.Errorf("the document changed:\n%.3000s\n\n%.3000s", before, after)
	}
	if again, err := back.Bytes(); err != nil || !bytes.Equal(again, b) {
		t.Errorf("written again it is other bytes (%v)", err)
	}
	if _, err := MeasurementFrom(append([]byte("another"), b...), s); !errors.Is(err, exact.ErrOtherType) {
		t.Errorf("bytes of another type: %v", err)
	}
	for _, cut := range []int{8, 9, len(b) / 2, len(b) - 1} {
		if _, err := MeasurementFrom(b[:cut], s); err == nil {
			t.Errorf("cut off after %d of %d bytes, and read", cut, len(b))
		}
	}
}
