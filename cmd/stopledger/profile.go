package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"stopledger/analyze/plan"
	"stopledger/cmd/internal/shoot"
	"stopledger/cmd/internal/terminal"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/text"
)

const profileUsage = `Usage: stopledger profile [flags] [ISO=]TAKE...

What test takes say of a camera, by ISO: read and shot noise, the floor, where each channel clips, the
base ISOs, and the ISO above which gain brings nothing. Over-exposing by light, which makes shadows
cleaner, is told apart from over-exposing by ISO, which does not.

Shoot one still scene from black to clipped highlights, with a grey card, on a tripod in steady light:
two exposures or more at each ISO, one of them long enough to clip. Takes with the lens capped help with
read noise. The ISO is read from the clip, or named before it, as in 800=take.mov. Use the codec you
shoot with, or a finer one: what it takes off the noise is allowed for where it is known, and said.

--out writes the profile as a TOML file, which audit, compare and plan take with --profile, and a page
with plots beside it.

Examples:
  stopledger profile 800=nominal.mov 800=over.mov 3200=night.mov --out camera.toml
  stopledger profile --region 900,500,120,120 800=iso800.mov 1600=iso1600.mov
`

// profile measures a camera by test takes.
func (a app) profile(ctx context.Context, args []string) error {
	j := job{verb: "profile"}
	fs := pflag.NewFlagSet(j.verb, pflag.ContinueOnError)
	j.flags.addReading(fs)
	j.flags.addGrey(fs)
	fs.BoolVar(&j.flags.settings.EveryFrame, "every-frame", false,
		"measure every frame, not groups of frames spread over the takes")
	fs.StringVar(&j.flags.out, "out", "", "`FILE`: write the profile into this file, camera.toml, and a page beside it")
	j.flags.addFormat(fs)
	j.flags.addJobs(fs)
	if err := a.read(&j, fs, profileUsage, args); err != nil {
		return err
	}
	bad := func(err error) error { return &usageError{verb: j.verb, text: err.Error(), err: err} }
	if len(j.paths) == 0 {
		return bad(errors.New("name test takes"))
	}
	if fs.Changed("out") {
		if err := shoot.PrepareProfile(j.flags.out); err != nil {
			return bad(err)
		}
	}
	takes, doc, failed := a.profileTakes(ctx, j)
	if len(takes) == 0 || failed != nil && !errors.Is(failed, errSomeFailed) {
		return failed
	}
	r, err := readingOf(j.flags, &doc.Clips[0])
	if err != nil {
		return bad(err)
	}
	p, err := plan.Measure(takes, r)
	if err != nil {
		return bad(err)
	}
	out := &report.Profile{Schema: report.ProfileSchema, Tool: a.tool(), Profile: *p, Failed: doc.Failed}
	if err := a.tellProfile(j, out); err != nil {
		return err
	}
	return failed
}

// profileTakes measures the takes.
func (a app) profileTakes(ctx context.Context, j job) (takes []plan.Take, doc report.Document, err error) {
	var named []shoot.Argument
	var paths []string
	for _, said := range j.paths {
		arg := shoot.ParseArgument(said)
		named, paths = append(named, arg), append(paths, arg.Path)
	}
	doc, roots, failed := a.measureTakes(ctx, j, paths)
	for i := range doc.Clips {
		t, err := shoot.TakeOf(&doc.Clips[i], named[roots[i]].ISO)
		if err != nil {
			return nil, doc, &usageError{verb: j.verb, text: err.Error(), err: err}
		}
		takes = append(takes, t)
	}
	return takes, doc, failed
}

// tellProfile writes the file and prints the profile.
func (a app) tellProfile(j job, p *report.Profile) error {
	if j.flags.out != "" {
		if err := shoot.WriteProfile(j.flags.out, p); err != nil {
			return err
		}
	}
	con := terminal.New(a.stdout, a.stderr, 0, true)
	if err := printAs(con, j.flags.format, p, report.WriteProfileJSON, csv.WriteProfile, text.WriteProfile); err != nil {
		return fmt.Errorf("the result cannot be printed: %w", err)
	}
	return nil
}
