package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/cmd/internal/audit"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// fakeMeasure stands in for the instruments: it tells by the clip's name what to answer, so that
// a test says all it means in the names of its files.
func fakeMeasure(ctx context.Context, j audit.Job) (report.Clip, error) {
	name := filepath.Base(j.Path)
	over, unknown := curve.Stops(1.65), curve.Unknown[curve.Stops]()
	switch {
	case strings.Contains(name, "bad"):
		return report.Clip{}, &decode.ClipError{Path: j.Path, What: "the file is cut off", Do: "copy it again"}
	case strings.Contains(name, "panic"):
		var none []int
		_ = none[len(name)]
	case strings.Contains(name, "alarm"):
		over = -4
	}
	j.Progress(0.5)
	m := fakeMeasurement(j.Path, over)
	if strings.Contains(name, "longgop") {
		m.Result.Noise = noise.Result{Suppressed: true, Causes: []noise.Cause{noise.CodecCarries}, Reason: "blocks repeat",
			Floor: unknown, FloorSNR2: unknown, Usable: unknown}
	}
	return j.Finish(ctx, m)
}

// fakeMeasurement is of a card over nominal by some stops, whose shadows carry 22.4 dB at nominal and
// 8.8 dB more 1.65 stops over.
func fakeMeasurement(path string, over curve.Stops) *audit.Measurement {
	const nominal, rise = 22.4, 8.8 / 1.65 // dB; dB a stop
	reading := curve.Reading{Curve: must(curve.Find("slog3")), Bits: 10}
	unknown := curve.Unknown[curve.Stops]()
	m := &audit.Measurement{Info: decode.Info{Path: path, Bits: 10, Width: 1920, Height: 1080}}
	m.Result.Settled.Reading, m.Result.Settled.CurveOrigin = reading, metadata.OriginFlag
	m.Result.Placement = &placement.Placement{Stops: over, Low: over - 0.02, High: over + 0.02, Method: placement.Card,
		Code: 545, Percent: 54.9, Reflectance: curve.MidGrey}
	m.Result.Noise = noise.Result{Floor: unknown, FloorSNR2: unknown, Usable: unknown}
	for stops := curve.Stops(-4); stops <= 0; stops++ { // near enough to be joined
		at := nominal + rise*curve.Decibels(stops+4)
		m.Result.Noise.Tones = append(m.Result.Noise.Tones,
			noise.Tone{Recorded: stops, SNR: at, Low: at, High: at, SigmaLinear: 1})
	}
	m.Result.Clipping = clipping.Result{Headroom: 2.1}
	m.Result.Variation = variation.Result{Drift: unknown, Step: unknown, Flicker: unknown}
	return m
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// files makes empty files, and folders for names that end in a slash, and returns their folder.
func files(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, "/") {
			if err := os.MkdirAll(path, 0o755); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if err := os.WriteFile(path, []byte("not empty"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// inFolder makes dir the working folder, so that paths in output are short and always the same.
func inFolder(t *testing.T, names ...string) {
	t.Helper()
	t.Chdir(files(t, names...))
}

// call runs the program on arguments with a measurer.
func call(t *testing.T, m audit.Measurer, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var o, e bytes.Buffer
	a := app{measure: m, version: "0.0-test", stdout: &o, stderr: &e}
	code = a.run(t.Context(), args)
	return code, o.String(), e.String()
}
