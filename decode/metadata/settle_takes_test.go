package metadata_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

func curveNamed(t testing.TB, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// as asks for a curve, and for an exposure index of it.
func as(t testing.TB, name string, index int) metadata.ReadAs {
	t.Helper()
	return metadata.ReadAs{Curve: metadata.CurveName{Given: name, Curve: curveNamed(t, name)}, Index: index}
}

// assuming assumes a curve.
func assuming(t testing.TB, name string) metadata.ReadAs {
	t.Helper()
	return metadata.ReadAs{Assume: metadata.AssumedName{Given: name, Curve: curveNamed(t, name)}}
}

// A take is a tiny clip.
type take struct {
	curve  string
	change func(*synth.Camera)
	how    synth.Encoding // H.264 if none is named
}

// record makes a take's file.
func (k take) record(t testing.TB, path string) {
	t.Helper()
	cam := synth.NewCamera(128, 96, curveNamed(t, k.curve))
	cam.Sampling = synth.S420
	if k.how.Codec == "" {
		k.how.Codec = synth.H264
	}
	if slices.Contains([]synth.Codec{synth.DNxHR, synth.ProRes422}, k.how.Codec) {
		cam.Sampling = synth.S422
	}
	if k.change != nil {
		k.change(&cam)
	}
	shot := synth.Shot{Scene: synth.Scene{Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.18)}}}, Seed: 7, Frames: 4}
	if _, err := synth.Record(path, cam, shot, k.how); err != nil {
		t.Fatal(err)
	}
}

// file records the take into a fresh folder.
func (k take) file(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	k.record(t, path)
	return path
}

// read returns what a clip says, as FFmpeg and as this package read it.
func read(t testing.TB, path string) (metadata.Stream, metadata.Record) {
	t.Helper()
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer clip.Close()
	info := clip.Info()
	rec, err := metadata.Read(path, metadata.Hints{Container: info.Container, Tags: info.Tags,
		Transfer: info.Transfer, Primaries: info.Primaries})
	if err != nil {
		t.Fatal(err)
	}
	return metadata.Stream{Path: path, Codec: info.Codec, Bits: info.Bits, RGB: info.Layout == decode.RGB,
		Range: info.Range, Matrix: info.Matrix}, rec
}

// settled settles a clip that can be settled.
func settled(t testing.TB, path string, a metadata.ReadAs) metadata.Settled {
	t.Helper()
	stream, rec := read(t, path)
	s, err := metadata.Settle(stream, rec, a)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// refused checks that a clip cannot be settled, and that the error says each part in one line.
func refused(t testing.TB, path string, parts ...string) {
	t.Helper()
	stream, rec := read(t, path)
	_, err := metadata.Settle(stream, rec, metadata.ReadAs{})
	if err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("%s: error %v", path, err)
		return
	}
	for _, part := range append(parts, path) {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not say %q", err, part)
		}
	}
}

// doubt returns the first doubt of a kind; without one, an empty one.
func doubt(s metadata.Settled, id metadata.DoubtID) metadata.Doubt {
	for _, d := range s.Doubts {
		if d.ID == id {
			return d
		}
	}
	return metadata.Doubt{}
}
