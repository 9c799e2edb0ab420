package main

import (
	"context"
	"errors"
	"image"
	"strings"

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
	rec := recordOf(path, info)
	w, err := readClip(info, rec, s)
	if err != nil {
		return report.Clip{}, analyze.Stills{}, err
	}
	r, err := analyze.Clip(ctx, clip, w.settings(ctx, s))
	if err != nil {
		return report.Clip{}, analyze.Stills{}, forUser(path, err)
	}
	r.Doubts = append(w.doubts, r.Doubts...)
	camera := cameraOf(rec)
	r.Place(carriedGrey(ctx, r, path, camera, s))
	return document(info, rec, w, r, camera, s), r.Stills, nil
}

// recordOf reads what a clip says of its recording. That it cannot be read is one of the record's
// problems: the curve may be known otherwise.
func recordOf(path string, info decode.Info) acquisition.Record {
	rec, err := acquisition.Read(path, acquisition.Hints{Container: info.Container, Tags: info.Tags,
		Transfer: info.Transfer, Primaries: info.Primaries})
	if err != nil && !isPictures(info) {
		rec.Problems = append(rec.Problems, err.Error())
	}
	return rec
}

// isPictures tells still pictures, which may be named by a pattern that is no file, from
// containers.
func isPictures(info decode.Info) bool { return strings.HasPrefix(info.Container, "image") }

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

func (w way) settings(ctx context.Context, s auditSettings) analyze.Settings {
	return analyze.Settings{Reading: w.reading, Matrix: w.matrix, Patches: s.Patches, Grey: s.Grey, Shadows: firstTakesShadows(ctx, s),
		FaceIsGrey: s.FaceIsGrey, Reflectance: s.Reflectance, Edition: s.Edition, Target: s.Target, SceneTarget: s.SceneTarget,
		Lifts: s.Lifts, EveryFrame: s.EveryFrame, Pictures: s.Pictures, Threads: s.Threads, Progress: s.Progress}
}

// firstTakesShadows returns the area to be enlarged, empty where the clip may have its own.
func firstTakesShadows(ctx context.Context, s auditSettings) image.Rectangle {
	if s.Shadows == nil || !s.Pictures {
		return image.Rectangle{}
	}
	r := s.Shadows(ctx)
	if r == nil {
		return image.Rectangle{}
	}
	return image.Rect(r.X, r.Y, r.X+r.W, r.Y+r.H)
}
