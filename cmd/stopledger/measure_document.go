package main

import (
	"stopledger/analyze"
	"stopledger/decode"
	"stopledger/decode/acquisition"
	"stopledger/report"
)

// document completes a measured clip with what is known of its file.
func document(info decode.Info, rec acquisition.Record, w way, r *analyze.Result, camera *report.Camera, s auditSettings) report.Clip {
	c := report.Measured(r)
	c.Path, c.Bytes, c.Container, c.Codec, c.Profile = info.Path, info.Bytes, info.Container, info.Codec, info.Profile
	c.PixelFormat, c.Bits, c.Chroma, c.Width, c.Height = info.PixelFormat, info.Bits, info.Chroma, info.Width, info.Height
	c.Rotation, c.FrameRate, c.Frames, c.DurationS = info.RotationDeg, info.FrameRate(), info.Frames, info.DurationS
	c.Timecode = timecodeOf(info, rec)
	c.Range, c.Matrix, c.Camera = w.rangeOrigin, w.matrixOrigin, camera
	c.Curve.Origin, c.Curve.Assumed, c.Curve.Index = w.curveOrigin, w.assumed, w.reading.Curve.Index
	c.Sampling.Mode = "groups"
	if s.EveryFrame || info.Frames == 0 {
		c.Sampling.Mode = "every"
	}
	return c
}

// timecodeOf returns the container's timecode, else the camera's own.
func timecodeOf(info decode.Info, rec acquisition.Record) string {
	if info.Timecode == "" && rec.Camera != nil {
		return rec.Camera.Timecode
	}
	return info.Timecode
}

// cameraOf passes on all that the clip says of its camera.
func cameraOf(rec acquisition.Record) *report.Camera {
	c := rec.Camera
	if c == nil {
		return nil
	}
	return &report.Camera{Make: c.Make, Model: c.Model, Serial: c.Serial, Lens: c.Lens, FocalMM: c.FocalMM, Timecode: c.Timecode,
		ISO: c.ISO, ExposureIndex: c.ExposureIndex, GainDB: c.GainDB, Exposure: c.Exposure, ShutterS: c.ShutterS, ShutterDeg: c.ShutterAngleDeg,
		IrisF: c.IrisF, IrisT: c.IrisT, NDStops: c.NDStops, WhiteBalanceK: c.WhiteBalanceK, Tint: c.Tint, TintUnit: c.TintUnit,
		CaptureFPS: c.CaptureFPS, Gamut: c.Gamut, Matrix: c.Coding, Look: (*report.Look)(c.Looks),
		FramesHeld: c.SetsHeld, FramesRead: c.SetsRead, Changes: c.Changes}
}
