package main

import (
	"context"
	"errors"
	"path/filepath"

	"stopledger/analyze"
	"stopledger/decode"
	"stopledger/decode/acquisition"
	"stopledger/report"
)

// measureClip opens, identifies and measures one clip. A damaged clip is measured as far as it
// can be read.
func measureClip(ctx context.Context, path string, s auditSettings) (report.Clip, analyze.Stills, error) {
	clip, err := decode.Open(path)
	if err != nil {
		return report.Clip{}, analyze.Stills{}, err
	}
	defer clip.Close()
	info := clip.Info()
	rec, err := acquisition.Read(path, acquisition.Hints{Container: info.Container, Tags: info.Tags,
		Transfer: info.Transfer, Primaries: info.Primaries})
	if err != nil && s.Curve == nil && s.Assume == nil && !isSequence(path) {
		return report.Clip{}, analyze.Stills{}, &decode.ClipError{Path: path, What: "its metadata cannot be read", Do: "name the curve with --curve", Err: err}
	}
	w, err := readClip(info, rec, s)
	if err != nil {
		return report.Clip{}, analyze.Stills{}, err
	}
	r, err := analyze.Clip(ctx, clip, w.settings(s))
	if err != nil {
		return report.Clip{}, analyze.Stills{}, forUser(path, err)
	}
	r.Doubts = append(w.doubts, r.Doubts...)
	camera := cameraOf(rec)
	r.Place(carriedGrey(ctx, r.Placement, path, camera, s))
	return document(clip.Info(), w, r, camera, s), r.Stills, nil
}

// isSequence tells a pattern of a numbered sequence from a file.
func isSequence(path string) bool {
	_, err := filepath.Match(path, "")
	return err == nil && filepath.Ext(path) != "" && containsVerb(filepath.Base(path))
}

func containsVerb(name string) bool {
	for i := 0; i+1 < len(name); i++ {
		if name[i] == '%' {
			return true
		}
	}
	return false
}

// forUser gives an error from reading frames the shape that people see.
func forUser(path string, err error) error {
	var known *decode.ClipError
	var damage *decode.Damage
	switch {
	case errors.As(err, &known), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &damage):
		return &decode.ClipError{Path: path, What: "not one frame could be decoded", Do: "copy it again from the card, and check that it plays", Err: err}
	}
	return &decode.ClipError{Path: path, What: "its frames cannot be read (" + err.Error() + ")", Do: "check that it plays", Err: err}
}

func (w way) settings(s auditSettings) analyze.Settings {
	return analyze.Settings{Reading: w.reading, Matrix: w.matrix, Patches: s.Patches, Grey: s.Grey,
		FaceIsGrey: s.FaceIsGrey, Reflectance: s.Reflectance, Edition: s.Edition, Target: s.Target, SceneTarget: s.SceneTarget,
		Lifts: s.Lifts, EveryFrame: s.EveryFrame, Pictures: s.Pictures, Threads: s.Threads, Progress: s.Progress}
}

// document completes a measured clip with what is known of its file.
func document(info decode.Info, w way, r *analyze.Result, camera *report.Camera, s auditSettings) report.Clip {
	c := report.Measured(r)
	c.Path, c.Bytes, c.Container, c.Codec, c.Profile = info.Path, info.Bytes, info.Container, info.Codec, info.Profile
	c.PixelFormat, c.Bits, c.Chroma, c.Width, c.Height = info.PixelFormat, info.Bits, info.Chroma, info.Width, info.Height
	c.Rotation, c.FrameRate, c.Frames, c.DurationS, c.Timecode = info.RotationDeg, info.FrameRate(), info.Frames, info.DurationS, info.Timecode
	c.Range, c.Matrix, c.Camera = w.rangeOrigin, w.matrixOrigin, camera
	c.Curve.Origin, c.Curve.Assumed = w.curveOrigin, w.assumed
	c.Sampling.Mode = "groups"
	if s.EveryFrame || info.Frames == 0 {
		c.Sampling.Mode = "every"
	}
	return c
}

func cameraOf(rec acquisition.Record) *report.Camera {
	c := rec.Camera
	if c == nil {
		return nil
	}
	return &report.Camera{Make: c.Make, Model: c.Model, Lens: c.Lens, ISO: c.ISO, ExposureIndex: c.ExposureIndex, GainDB: c.GainDB,
		ShutterS: c.ShutterS, ShutterDeg: c.ShutterAngleDeg, IrisF: c.IrisF, IrisT: c.IrisT, NDStops: c.NDStops,
		WhiteBalanceK: c.WhiteBalanceK, CaptureFPS: c.CaptureFPS, Gamut: c.Gamut, Changes: c.Changes}
}

// carriedGrey returns the placement of the last clip with grey of its own, where this one has
// none and was shot in the same folder with the same exposure; otherwise p.
func carriedGrey(ctx context.Context, p *analyze.Placement, path string, camera *report.Camera, s auditSettings) *analyze.Placement {
	if s.HeldGrey == nil || (p != nil && !p.Weak) {
		return p
	}
	held := s.HeldGrey(ctx)
	if held == nil || filepath.Dir(held.Path) != filepath.Dir(path) || !sameExposure(held.Camera, camera) {
		return p
	}
	carried := &analyze.Placement{Stops: held.Placement.Stops, Low: held.Placement.Low, High: held.Placement.High,
		Method: held.Placement.Method, Code: held.Placement.Code, Reflectance: held.Placement.Reflectance, Carried: held.Path}
	if p != nil {
		carried.Candidates = p.Candidates
	}
	return carried
}

// sameExposure tells whether two clips say the same of every setting that changes exposure. A
// clip that says nothing may have been shot with any.
func sameExposure(a, b *report.Camera) bool {
	if a == nil || b == nil || len(a.Changes) > 0 || len(b.Changes) > 0 {
		return false
	}
	said := false
	for _, pair := range [][2]*float64{{a.ISO, b.ISO}, {a.ExposureIndex, b.ExposureIndex}, {a.GainDB, b.GainDB}, {a.ShutterS, b.ShutterS},
		{a.ShutterDeg, b.ShutterDeg}, {a.IrisF, b.IrisF}, {a.IrisT, b.IrisT}, {a.NDStops, b.NDStops}} {
		if (pair[0] == nil) != (pair[1] == nil) || (pair[0] != nil && *pair[0] != *pair[1]) {
			return false
		}
		said = said || pair[0] != nil
	}
	return said
}
