package main

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/matching"
	"stopledger/cmd/internal/terminal"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/handover"
	"stopledger/report/html"
	"stopledger/report/text"
)

const matchUsage = `Usage: stopledger match [flags] CLIP... --to CLIP

Tells the exposure, in stops, that brings each clip to one clip, with its 95 % interval: by the chart
or card that both show, or else by the parts of the scene that both show, wherever they lie in the
frame. Clips that show nothing in common are refused; the exit code is then 3. Where a neutral is in
both, R, G and B are told as well.

With --out the offsets are written as files that grading programs read, as stopledger adjust writes
them, none for a clip that needs none, and a page, match.html, shows the clips in a row before and
after.

Examples:
  stopledger match --curve slog3 wide.mov close.mov --to master.mov
  stopledger match --curve slog3 --as cube --out matched wide.mov close.mov --to master.mov
`

// matchPage is the page in the folder of the files.
const matchPage = "match.html"

// match tells what brings clips to one clip.
func (a app) match(ctx context.Context, args []string) error {
	j, f, to := job{verb: "match"}, adjustFlags{}, ""
	fs := pflag.NewFlagSet(j.verb, pflag.ContinueOnError)
	fs.StringVar(&to, "to", "", "`CLIP`: the clip that the others are brought to")
	fs.StringVar(&f.Dir, "out", "", "`DIR`: also write the offsets as files into this folder, and a page")
	f.addFiles(fs)
	j.flags.addMeasuring(fs)
	if err := a.read(&j, fs, matchUsage, args); err != nil {
		return err
	}
	found, at, err := matchClips(ctx, j, to)
	if err != nil {
		return err
	}
	f.Tool = a.tool()
	if fs.Changed("out") {
		if err := cmp.Or(f.complete(), checkPage(filepath.Join(f.Dir, matchPage))); err != nil {
			return &usageError{verb: j.verb, text: err.Error(), err: err}
		}
	}
	return a.matchAll(ctx, j, f, found, at)
}

// matchClips finds the clips of a match and the place of the one they are brought to.
func matchClips(ctx context.Context, j job, to string) (found card.Listing, at int, err error) {
	misuse := func(words string) error { return &usageError{verb: j.verb, text: words} }
	switch {
	case to == "":
		return found, 0, misuse("name the clip to match with --to CLIP")
	case len(j.paths) == 0:
		return found, 0, misuse("name the clips to bring to " + to)
	}
	target, err := audit.Find(ctx, j.flags.clipTimeout, []string{to}, j.flags.follow)
	if err != nil {
		return found, 0, err
	}
	if len(target.Entries) != 1 {
		return found, 0, misuse("--to takes one clip: " + to + " holds several or none")
	}
	found, err = audit.Find(ctx, j.flags.clipTimeout, append(slices.Clone(j.paths), to), j.flags.follow)
	if err != nil {
		return found, 0, err
	}
	at = slices.IndexFunc(found.Entries, func(e card.Entry) bool { return e.Path == target.Entries[0].Path })
	if at < 0 || len(found.Entries) < 2 {
		return found, 0, misuse("it takes a clip other than the one of --to")
	}
	return found, at, nil
}

// matchAll measures the clips, tells their offsets and writes the files.
func (a app) matchAll(ctx context.Context, j job, f adjustFlags, found card.Listing, to int) error {
	con := terminal.New(a.stdout, a.stderr, len(found.Entries), j.flags.quiet)
	defer con.Close()
	measure, dismiss, err := a.measurer(ctx, j, found.Entries, con)
	if err != nil {
		return err
	}
	defer dismiss()
	var views matching.Views
	res := a.measureAll(ctx, ctx, j, audit.Batch{Entries: found.Entries, Measure: measure, View: views.Take}, con)
	m := views.Match(a.tool(), res, to)
	for _, failed := range res.Failed {
		fmt.Fprintf(a.stderr, "not measured: %s: %s\n", metadata.Printable(failed.Path), metadata.Printable(failed.Error))
	}
	if f.Dir != "" && len(m.Matches) > 0 {
		var shown []html.Shown
		if shown, err = views.Shown(&m, res); err == nil {
			err = html.WriteMatches(filepath.Join(f.Dir, matchPage), &m, shown)
		}
		if err == nil {
			err = a.writeMatched(&m, f, j, res)
		}
	}
	printed := printAs(con, j.flags.format, &m, report.WriteMatchingJSON, csv.WriteMatches, text.WriteMatches)
	switch {
	case err != nil:
		return err
	case printed != nil:
		return fmt.Errorf("the result cannot be printed: %w", printed)
	case len(res.NotReached) > 0:
		fmt.Fprintf(a.stderr, "interrupted: %s not measured\n", text.Plural(len(res.NotReached), "clip"))
		return errInterrupted
	case len(res.Failed) > 0, m.Refuses():
		return errSomeFailed
	}
	return nil
}

// writeMatched writes the offsets of clips as files.
func (a app) writeMatched(m *report.Matching, f adjustFlags, j job, res audit.Results) error {
	var orders []handover.Order
	var refused []report.Refusal
	for _, x := range m.Matches {
		i := slices.IndexFunc(res.Clips, func(c report.Clip) bool { return c.Path == x.Path })
		if x.By == "" || i < 0 {
			continue // its match says why
		}
		stops := handover.Rounded(x.Stops)
		if stops == 0 {
			continue // it is exposed as the other clip is
		}
		o, why := handover.OrderOf(&res.Clips[i], handover.Wish{Stops: &stops, Curve: j.flags.settings.Curve.Curve})
		if why != "" {
			refused = append(refused, report.Refusal{Path: x.Path, Reason: why})
			continue
		}
		orders = append(orders, o)
	}
	written, err := f.Write(orders)
	written.Refused = append(refused, written.Refused...)
	for _, r := range written.Refused {
		fmt.Fprintln(a.stderr, text.Refused(r))
	}
	m.Adjusted = written
	return err
}
