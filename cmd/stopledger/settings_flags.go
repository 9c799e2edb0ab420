package main

import (
	"fmt"
	"runtime"
	"strconv"
	"strings"

	"stopledger/curve"
	"stopledger/report"
)

// Bounds of what can be asked for: well beyond any use, so that only slips are caught.
const (
	mostStops = 12 // of a target or a lift
	mostLifts = 6
	mostJobs  = 256
)

// settings checks the flags and turns them into settings. Each error names a flag, what was
// given and what is allowed.
func (f *measureFlags) settings() (auditSettings, error) {
	s := auditSettings{EveryFrame: f.everyFrame, Index: f.ei, Pictures: f.out != "" && !f.noPictures}
	for _, check := range []func(*auditSettings) error{
		f.checkChoices, f.checkCurves, f.checkPatches, f.checkTarget, f.checkLifts, f.checkJobs,
	} {
		if err := check(&s); err != nil {
			return auditSettings{}, err
		}
	}
	return s, nil
}

func (f *measureFlags) checkChoices(s *auditSettings) error {
	for _, c := range []struct {
		flag    string
		value   *string
		choices []string
	}{
		{"range", &f.rangeName, rangeChoices}, {"matrix", &f.matrix, matrixChoices},
		{"grey", &f.grey, greyChoices}, {"subject", &f.subject, subjectChoices},
		{"edition", &f.edition, editionChoices}, {"format", &f.format, formatChoices},
	} {
		var err error
		if *c.value, err = oneOf(c.flag, *c.value, c.choices); err != nil {
			return err
		}
	}
	s.Grey, s.FaceIsGrey, s.Edition = f.grey, f.subject == "face", f.edition
	if r, named := map[string]curve.Range{"narrow": curve.Narrow, "full": curve.Full}[f.rangeName]; named {
		s.Range = &r
	}
	if m, named := map[string]curve.Matrix{"bt601": curve.BT601, "bt709": curve.BT709, "bt2020": curve.BT2020}[f.matrix]; named {
		s.Matrix = &m
	}
	return nil
}

func (f *measureFlags) checkTarget(s *auditSettings) error {
	if strings.EqualFold(f.target, "scene") {
		s.SceneTarget = true
		return nil
	}
	stops, err := strconv.ParseFloat(f.target, 64)
	if err != nil || !(stops >= -mostStops && stops <= mostStops) {
		return fmt.Errorf("--target cannot be %q: it takes stops over nominal from -%d to %d, or scene", f.target, mostStops, mostStops)
	}
	s.Target = stops
	return nil
}

func (f *measureFlags) checkLifts(s *auditSettings) error {
	if len(f.lifts) > mostLifts {
		return fmt.Errorf("--lift names %d lifts: %d are the most", len(f.lifts), mostLifts)
	}
	for _, stops := range f.lifts {
		if !(stops >= -mostStops && stops <= mostStops) {
			return fmt.Errorf("--lift cannot be %g: it takes stops from -%d to %d, as in 1,2", stops, mostStops, mostStops)
		}
	}
	s.Lifts = f.lifts
	return nil
}

func (f *measureFlags) checkJobs(s *auditSettings) error {
	if f.jobs < 1 || f.jobs > mostJobs {
		return fmt.Errorf("--jobs cannot be %d: it takes a number of clips at a time from 1 to %d", f.jobs, mostJobs)
	}
	s.Threads = max(1, runtime.NumCPU()/f.jobs)
	return nil
}

// written returns the settings as the document tells them.
func (f *measureFlags) written(s auditSettings) report.Settings {
	w := report.Settings{
		Curve: f.curve, Assume: f.assume, Index: f.ei, Range: f.rangeName, Matrix: f.matrix,
		Reflectance: s.Reflectance, Target: s.Target, SceneTarget: s.SceneTarget, Grey: f.grey,
		Subject: f.subject, Edition: f.edition, HoldGrey: f.holdGrey, Lifts: s.Lifts, EveryFrame: s.EveryFrame,
		Patches: []report.PatchSetting{},
	}
	for _, p := range s.Patches {
		r := report.Rect{X: p.Area.Min.X, Y: p.Area.Min.Y, W: p.Area.Dx(), H: p.Area.Dy()}
		w.Patches = append(w.Patches, report.PatchSetting{Region: r, Reflectance: p.Reflectance})
	}
	if len(w.Patches) > 0 {
		w.Region = &w.Patches[0].Region
	}
	return w
}
