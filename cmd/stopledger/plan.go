package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/analyze/plan"
	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/shoot"
	"stopledger/cmd/internal/terminal"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/text"
)

const planUsage = `Usage: stopledger plan [flags]

Before a shoot: where to place grey, at which ISO, and what zebras then read, for a scene that reaches
from LOW to HIGH stops around the subject's grey. A placement fits where the scene's low end has a
signal-to-noise ratio of 20 dB and its high end stays 0.3 stops under the ceiling. ISOs are compared at
equal light, too, as at night.

What the camera holds is told by its profile (see stopledger profile) or by a clip of the scene, --test,
which also tells how far the scene reaches. With a curve alone, only highlights can be planned, up to
where the curve's recordings end.

Examples:
  stopledger plan --curve slog3
  stopledger plan --curve slog3 --scene -5,+3.5 --format csv
  stopledger plan --test over.mov
  stopledger plan --curve vlog --out pocket
`

// planFlags are what is asked of a plan.
type planFlags struct {
	scene plan.Scene
	given bool // the scene was
	test  string
	meter int
}

// plan says what to expose for a scene.
func (a app) plan(ctx context.Context, args []string) error {
	j, p := job{verb: "plan"}, planFlags{scene: plan.Scene{Low: -4, High: 4}}
	fs := pflag.NewFlagSet(j.verb, pflag.ContinueOnError)
	fs.Func("scene", "`LOW,HIGH`: how far the scene reaches, in stops from the subject's grey (default -4,+4)", p.setScene)
	fs.StringVar(&p.test, "test", "", "`CLIP`: a clip of the scene, with grey in it: it tells how far the scene reaches")
	j.flags.addProfile(fs)
	fs.IntVar(&p.meter, "meter", 0, "`ISO`: compare ISOs at the light for which a meter asks this one (default: the "+
		"highest of the profile, or the light of --test)")
	j.flags.addReading(fs)
	j.flags.addGrey(fs)
	fs.StringVar(&j.flags.out, "out", "", "`DIR`: write the plan into this folder: a page, JSON, CSV and text, "+
		"and the pocket guide as PDF for A6, PNG for a phone, and HTML")
	j.flags.addFormat(fs)
	j.flags.addJobs(fs)
	if err := a.read(&j, fs, planUsage, args); err != nil {
		return err
	}
	bad := func(err error) error { return &usageError{verb: j.verb, text: err.Error(), err: err} }
	switch {
	case len(j.paths) > 0:
		return bad(errors.New("it takes no clips but with --test CLIP"))
	case p.meter < 0:
		return bad(fmt.Errorf("--meter cannot be %d: it takes an ISO such as 3200", p.meter))
	case fs.Changed("out") && j.flags.out == "":
		return bad(errors.New("--out names no folder: give it one, or leave it out"))
	}
	if j.flags.out != "" {
		if err := shoot.PrepareFolder(j.flags.out); err != nil {
			return bad(err)
		}
	}
	test, err := a.testClip(ctx, j, p.test)
	if err != nil {
		return err
	}
	q, err := p.request(j.flags, test)
	if err != nil {
		return bad(err)
	}
	doc := &report.Plan{Schema: report.PlanSchema, Tool: a.tool(), Plan: plan.Make(q), Test: p.test}
	return a.tellPlan(j, doc)
}

// setScene reads LOW,HIGH.
func (p *planFlags) setScene(said string) error {
	low, high, two := strings.Cut(said, ",")
	var v [2]float64
	for i, part := range []string{low, high} {
		f, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		two = two && err == nil && f >= -mostStops && f <= mostStops
		v[i] = f
	}
	if !two || v[0] >= v[1] {
		return cannotBe(strconv.Quote(said), fmt.Sprintf("two numbers of stops from -%d to %d, the lower first, as in -4,+4",
			mostStops, mostStops))
	}
	p.scene, p.given = plan.Scene{Low: curve.Stops(v[0]), High: curve.Stops(v[1])}, true
	return nil
}

// testClip measures the clip of the scene, nil without one.
func (a app) testClip(ctx context.Context, j job, path string) (*report.Clip, error) {
	if path == "" {
		return nil, nil
	}
	doc, _, err := a.measureTakes(ctx, j, []string{path})
	if err != nil {
		return nil, err
	}
	c := &doc.Clips[0]
	if c.Placement == nil || c.Placement.Weak {
		fmt.Fprintf(a.stderr, "not planned: %s: it shows no grey to plan by; name a grey area with --region\n",
			metadata.Printable(path))
		return nil, errSomeFailed
	}
	return c, nil
}

// measureTakes measures clips in order and returns, for each of those measured, the number of the path that
// named it, from 0. Clips that cannot be measured are told, and an error.
func (a app) measureTakes(ctx context.Context, j job, paths []string) (doc report.Document, roots []int, err error) {
	found, err := audit.Find(ctx, j.flags.clipTimeout, paths, false)
	if err != nil {
		return doc, nil, err
	}
	con := terminal.New(a.stdout, a.stderr, len(found.Entries), j.flags.quiet)
	defer con.Close()
	measure, dismiss, err := a.measurer(ctx, j, found.Entries, con)
	if err != nil {
		return doc, nil, err
	}
	defer dismiss()
	j.flags.out = "" // no pictures
	res := a.measureAll(ctx, ctx, j, audit.Batch{Entries: found.Entries, Measure: measure}, con)
	doc = report.Document{Clips: res.Clips, Failed: res.Failed, Skipped: found.Skipped}
	for _, s := range found.Skipped {
		con.Note("not measured: " + metadata.Printable(s.Path) + ": " + metadata.Printable(s.Reason))
	}
	for i, p := range res.Places {
		if p.Measured {
			roots = append(roots, found.Entries[i].Root)
		}
	}
	if err = a.finish(j, doc, res, nil, func() error { return nil }); err == nil && len(res.Clips) == 0 {
		err = &usageError{verb: j.verb, text: "there is no clip to measure"}
	}
	return doc, roots, err
}

// request puts together what is planned for.
func (p *planFlags) request(f measureFlags, test *report.Clip) (q plan.Request, err error) {
	q = plan.Request{Scene: p.scene, Meter: float64(p.meter), Profile: f.profile}
	if q.Reading, err = readingOf(f, test); err != nil {
		return q, err
	}
	q.Sensors = []plan.Sensor{plan.Unseen(q.Reading)}
	if test != nil {
		t := shoot.TestOf(test)
		seen, limited := t.Scene()
		if !p.given {
			q.Scene, q.Notes = seen, append(q.Notes, limited)
		}
		q.Sensors, q.Meter = []plan.Sensor{t.Sensor()}, cmp.Or(q.Meter, t.Meter())
	}
	if pr := f.settings.Profile; pr != nil {
		q.Sensors, q.Above = pr.Sensors(), pr.NoGainAbove
	}
	return q, nil
}

// readingOf returns how recordings will be read: with the curve named, or the test clip's, or the profile's,
// which all have to be the same one.
func readingOf(f measureFlags, test *report.Clip) (curve.Reading, error) {
	c := cmp.Or(f.settings.Curve.Curve, f.settings.Assume.Curve)
	named, index, by := "", 0, ""
	if f.settings.Profile != nil {
		named, index, by = f.settings.Profile.Curve, f.settings.Profile.Index, "the profile"
	}
	if test != nil {
		if by != "" && named != test.Curve.Name {
			return curve.Reading{}, fmt.Errorf("the profile is of %s, and the test clip of %s", named, test.Curve.Name)
		}
		named, index, by = test.Curve.Name, test.Curve.Index, "the test clip"
	}
	var err error
	switch {
	case c != nil && by != "" && c.Name != named:
		err = fmt.Errorf("--curve is %s, and %s is of %s", c.Name, by, named)
	case c == nil && by == "":
		err = errors.New("name the curve with --curve (stopledger curves lists them), a profile or a test clip")
	case c == nil:
		if c, err = curve.Find(named); err == nil && index != 0 {
			c, err = c.WithIndex(index)
		}
		if err != nil {
			err = fmt.Errorf("%s is of the curve %s, which is from a file: name that with --curve", by, named)
		}
	}
	if err != nil {
		return curve.Reading{}, err
	}
	r := curve.Reading{Curve: c, Range: c.Range, Bits: 10}
	switch f.settings.Range {
	case metadata.NarrowRange:
		r.Range = curve.Narrow
	case metadata.FullRange:
		r.Range = curve.Full
	}
	return r, nil
}

// tellPlan writes the folder and prints the plan.
func (a app) tellPlan(j job, doc *report.Plan) error {
	if j.flags.out != "" {
		if err := shoot.WritePlan(j.flags.out, doc); err != nil {
			return err
		}
	}
	con := terminal.New(a.stdout, a.stderr, 0, true)
	if err := printAs(con, j.flags.format, doc, report.WritePlanJSON, csv.WritePlan, text.WritePlan); err != nil {
		return fmt.Errorf("the result cannot be printed: %w", err)
	}
	return nil
}
