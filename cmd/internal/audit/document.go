package audit

import (
	"slices"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// document puts together what was found out about a clip; it computes nothing.
func document(m *Measurement, set analyze.Settings, grey *placement.Placement, advice advise.Advice) report.Clip {
	r, s := &m.Result, m.Result.Settled
	c := s.Reading.Curve
	return report.Clip{
		File: fileOf(m.Info, m.Said), Range: s.Range, Matrix: s.MatrixFrom, Camera: m.Said.Camera,
		Curve: report.Curve{Name: c.Name, Origin: s.CurveOrigin, Assumed: s.Assumed, Index: c.Index,
			Source: c.Source.String(), MidGrey: s.Reading.Level(s.Reading.CodeOf(curve.MidGrey))},
		Sampling:  samplingOf(m, set.EveryFrame),
		Placement: grey, Noise: noiseOf(r.Noise, grey, advice.Graded), Highlights: r.Clipping, Advice: advice,
		Histogram: r.Levels.Histogram, Scene: r.Levels.Scene, Over: r.Moments, Variation: r.Variation,
	}
}

func fileOf(info decode.Info, said metadata.Record) report.File {
	f := report.File{Path: report.PlainPath(info.Path), Parts: plainPaths(info.Parts), Bytes: info.Bytes,
		Container: info.Container, Codec: info.Codec, Profile: info.Profile, PixelFormat: info.PixelFormat,
		Bits: info.Bits, Chroma: info.Chroma, Width: info.Width, Height: info.Height,
		Rotation: info.RotationDeg, FrameRate: curve.Amount(info.FrameRate()), Frames: info.Frames,
		Duration: curve.Seconds(info.DurationS), Timecode: info.Timecode, Recorded: said.Recorded}
	if f.Timecode == "" && said.Camera != nil {
		f.Timecode = said.Camera.Timecode
	}
	return f
}

func samplingOf(m *Measurement, everyFrame bool) report.Sampling {
	r := &m.Result
	s := report.Sampling{Mode: report.Groups, Groups: r.Groups, FramesMeasured: r.Frames, FramesLost: r.Lost}
	if everyFrame || m.Info.Frames == 0 {
		s.Mode = report.Every
	}
	return s
}

// noiseOf gives each tone of the recording its place in the scene.
func noiseOf(n noise.Result, grey *placement.Placement, graded []advise.Graded) report.Noise {
	out := report.Noise{Result: n, Tones: tonesOf(n.Tones, grey), Channels: []report.Channel{}, Graded: graded}
	for _, c := range n.Channels {
		out.Channels = append(out.Channels, report.Channel{Name: c.Name, GrainPx: c.GrainPx, Tones: tonesOf(c.Tones, grey)})
	}
	return out
}

func tonesOf(tones []noise.Tone, grey *placement.Placement) []report.Tone {
	out := []report.Tone{}
	for _, t := range tones {
		scene := curve.Unknown[curve.Stops]()
		if grey != nil && !grey.Weak {
			scene = t.Recorded - grey.Stops
		}
		out = append(out, report.Tone{Tone: t, Scene: scene})
	}
	return out
}

func plainPaths(paths []string) []string {
	out := []string{}
	for _, p := range paths {
		out = append(out, report.PlainPath(p))
	}
	return out
}

// Compare sets the clips of a document side by side, each against the first. strangers are the paths of those that
// show another scene.
func Compare(doc report.Document, strangers []string) report.Comparison {
	takes, byISO := make([]advise.Measured, len(doc.Clips)), make([]plan.Take, len(doc.Clips))
	for i := range doc.Clips {
		c := &doc.Clips[i]
		takes[i] = advise.Measured{Path: c.Path, Placement: c.Placement, Noise: &c.Noise.Result, Clipping: &c.Highlights,
			Stranger: slices.Contains(strangers, c.Path)}
		byISO[i] = TakeOf(c, c.Camera.Speed())
	}
	return report.Comparison{Schema: report.CompareSchema, Tool: doc.Tool, Settings: doc.Settings, Clips: doc.Clips,
		Comparison: advise.Compare(takes), ISO: plan.Compare(byISO), Failed: doc.Failed}
}

// TakeOf returns a measured clip as a test take at an ISO.
func TakeOf(c *report.Clip, iso int) plan.Take {
	return plan.Take{Path: c.Path, ISO: iso, Camera: c.Camera.Name(), Curve: c.Curve.Name, Index: c.Curve.Index,
		Light: c.Camera.Light(c.FrameRate), Placement: c.Placement, Clipping: &c.Highlights, Noise: &c.Noise.Result,
		Scene: c.Scene.P99}
}
