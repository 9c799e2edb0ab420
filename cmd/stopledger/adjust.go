package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/terminal"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/csv"
	"stopledger/report/handover"
	"stopledger/report/text"
)

const adjustUsage = `Usage: stopledger adjust [flags] --out DIR PATH...

Writes the pull or lift that is advised for each clip as files that grading programs read. A PATH is
the folder of an audit, whose figures are taken as they are, or clips and folders of clips, which
are measured first as stopledger audit does.

  clf   Common LUT Format: curve to linear light, gain, and back. Exact, and clamps nothing but for
        curves that need a table.
  cube  a table in one dimension. As good between 0 and 1; what lies outside is clamped.
  cdl   ASC CDL: one offset of codes, exact at the subject's grey only. It is refused where from 2
        stops under grey to 4 over it is off by more than --max-error. With it come lists of all
        clips: exposure_*.ccc, .edl (CMX 3600) and .otio (OpenTimelineIO); a clip whose CDL was
        refused stands in the latter two without.

NAME_video is for programs that undo the file's range first, so that 0..1 is code 64..940 of a
narrow-range file: most do. NAME_curve is for those that hand over the curve's own values: 0..1 is
code 0..1023 for S-Log3, V-Log and the like. The wrong one errs by a seventh of the change, more in
the shadows. Each file says which it is, for which clip and curve, and how far off it may be.

A clip whose advice is hold or none gets no file: it is refused, with the reason, as is a CDL that is
too far off; the exit code is then 3. --stops goes before the advice.

The JSON (schema stopledger/adjust/1) has files[] (path, file, as, stops, domain, curve,
worst_error_stops; of a CDL offset and errors by tone), lists[] (file, as, domain, clips) and
refused[] (path, as, domain, reason), and earlier[]: files of these clips from an
earlier run in the folder that say another correction.

Examples:
  stopledger adjust --as clf,cube --out fix A001_C003.mov
  stopledger adjust --as clf --domain video --format json --out fix A001_C003.mov A001_C004.mov
  stopledger adjust --stops -1.65 --as cdl --max-error 0.75 --out fix A001_C003.mov
`

// leastError bounds the largest error of a CDL.
const leastError = 0.001 // stops

// adjustFlags are the flags of adjust that measuring does not have.
type adjustFlags struct {
	handover.Request
	stops *curve.Stops // nil for the advice
}

func (f *adjustFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&f.Dir, "out", "", "`DIR`: write the files into this folder; it must be given")
	f.addFiles(fs)
	fs.Func("stops", "`S`: apply so many stops to every clip in place of the advice; -1.65 darkens", f.setStops)
}

// addFiles adds what says which files are written.
func (f *adjustFlags) addFiles(fs *pflag.FlagSet) {
	f.MaxError = handover.UsualError
	fs.Func("as", "`KIND`: clf, cdl or cube; several with commas, or given again (default all three)", f.addKinds)
	fs.Func("domain", "`WHAT`: what 0..1 means to the program: curve or video (default files for both)", f.setDomain)
	fs.Func("max-error", "`STOPS`: refuse a CDL that is further off, from 2 stops under to 4 over the subject's grey "+
		"(default 0.2)", f.setMaxError)
}

func (f *adjustFlags) addKinds(said string) error {
	for _, name := range strings.Split(strings.ToLower(said), ",") {
		kind := handover.Kind(strings.TrimSpace(name))
		if !slices.Contains(handover.Kinds, kind) {
			return cannotBe(strconv.Quote(said), "clf, cdl, cube, or several with commas")
		}
		if !slices.Contains(f.As, kind) {
			f.As = append(f.As, kind)
		}
	}
	return nil
}

func (f *adjustFlags) setStops(said string) error {
	v, err := strconv.ParseFloat(said, 64)
	if err != nil || !(v >= -mostStops && v <= mostStops) || handover.Rounded(curve.Stops(v)) == 0 {
		return cannotBe(strconv.Quote(said), fmt.Sprintf("stops from -%d to %d but 0, as in -1.65", mostStops, mostStops))
	}
	stops := curve.Stops(v)
	f.stops = &stops
	return nil
}

func (f *adjustFlags) setDomain(said string) error {
	d := curve.Domain(strings.ToLower(said))
	if !slices.Contains(handover.Domains, d) {
		return cannotBe(strconv.Quote(said), "curve or video")
	}
	f.Domains = []curve.Domain{d}
	return nil
}

func (f *adjustFlags) setMaxError(said string) error {
	v, err := strconv.ParseFloat(said, 64)
	if err != nil || !(v >= leastError && v <= mostStops) {
		return cannotBe(strconv.Quote(said), fmt.Sprintf("stops from %g to %d, as in 0.2", leastError, mostStops))
	}
	f.MaxError = curve.Stops(v)
	return nil
}

// complete fills in what was left out, and makes the folder before anything is measured.
func (f *adjustFlags) complete() error {
	if len(f.As) == 0 {
		f.As = handover.Kinds
	}
	if len(f.Domains) == 0 {
		f.Domains = handover.Domains
	}
	if f.Dir == "" {
		return errors.New("name a folder for the files with --out")
	}
	if err := os.MkdirAll(f.Dir, 0o755); err != nil {
		return fmt.Errorf("--out %s cannot be made a folder: %w", f.Dir, err)
	}
	return nil
}

// adjust writes corrections as files.
func (a app) adjust(ctx context.Context, args []string) error {
	j, f := job{verb: "adjust"}, adjustFlags{}
	fs := pflag.NewFlagSet(j.verb, pflag.ContinueOnError)
	f.add(fs)
	j.flags.addTarget(fs)
	j.flags.addMeasuring(fs)
	if err := a.read(&j, fs, adjustUsage, args); err != nil {
		return err
	}
	if len(j.paths) == 0 {
		return &usageError{verb: j.verb, text: "name clips, or the folder of an audit"}
	}
	audits, clips := parted(j.paths)
	if err := checkAdvised(fs, clips); err != nil {
		return &usageError{verb: j.verb, text: err.Error(), err: err}
	}
	if err := f.complete(); err != nil {
		return &usageError{verb: j.verb, text: err.Error(), err: err}
	}
	f.Tool = a.tool()
	return a.adjustAll(ctx, j, f, audits, clips)
}

// parted tells folders of audits from what is to be measured.
func parted(paths []string) (audits, clips []string) {
	for _, p := range paths {
		if audit.HoldsReport(p) {
			audits = append(audits, p)
		} else {
			clips = append(clips, p)
		}
	}
	return audits, clips
}

// checkAdvised refuses flags of measuring where nothing is measured. A curve may be needed all the same.
func checkAdvised(fs *pflag.FlagSet, clips []string) (err error) {
	own := []string{"out", "as", "stops", "domain", "max-error", "format", "quiet", "curve", "ei", "jobs"}
	fs.Visit(func(flag *pflag.Flag) {
		if len(clips) == 0 && !slices.Contains(own, flag.Name) {
			err = fmt.Errorf("--%s has no use with the folder of an audit: what it advised is taken; name clips, or --stops",
				flag.Name)
		}
	})
	return err
}

// adjustAll gathers the clips and writes the files.
func (a app) adjustAll(ctx context.Context, j job, f adjustFlags, audits, clips []string) error {
	g := gathered{wish: handover.Wish{Stops: f.stops, Curve: j.flags.settings.Curve.Curve}, seen: map[string]bool{}}
	if g.wish.Curve == nil {
		g.wish.Curve = j.flags.settings.Assume.Curve
	}
	for _, dir := range audits {
		if err := audit.WithDocument(dir, g.add); err != nil {
			return &usageError{verb: j.verb, text: err.Error(), err: err}
		}
	}
	if len(clips) > 0 {
		if err := a.measureFor(ctx, j, clips, &g); err != nil {
			return err
		}
	}
	f.Refused = g.refused
	written, err := f.Write(g.orders)
	for _, r := range written.Refused {
		fmt.Fprintln(a.stderr, text.Refused(r))
	}
	if len(written.Earlier) > 0 {
		fmt.Fprintf(a.stderr, "note: an earlier run left other corrections in %s: %s\n", f.Dir,
			metadata.Printable(some(written.Earlier)))
	}
	printed := a.printAdjusted(written, j.flags)
	switch {
	case err != nil:
		return err
	case printed != nil:
		return fmt.Errorf("the result cannot be printed, but the files are in %s: %w", f.Dir, printed)
	case g.notReached > 0:
		fmt.Fprintf(a.stderr, "interrupted: %s not measured\n", text.Plural(g.notReached, "clip"))
		return errInterrupted
	case len(written.Refused) > 0:
		return errSomeFailed
	}
	return nil
}

// gathered are the corrections of documents.
type gathered struct {
	wish       handover.Wish
	orders     []handover.Order
	refused    []report.Refusal
	seen       map[string]bool // paths
	notReached int
}

// add takes the corrections of a document's clips; a clip that is there already is passed over.
func (g *gathered) add(doc *report.Document) error {
	wish := g.wish
	wish.Target = doc.Settings.Target
	err := doc.EachClip(func(_ int, whole *report.Clip) error {
		c, err := whole.Rounded() // as its file has it
		if err != nil || g.seen[c.Path] {
			return err
		}
		g.seen[c.Path] = true
		if o, refused := handover.OrderOf(c, wish); refused != "" {
			g.refused = append(g.refused, report.Refusal{Path: c.Path, Reason: refused})
		} else {
			g.orders = append(g.orders, o)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, f := range doc.Failed {
		g.refused = append(g.refused, report.Refusal{Path: f.Path, Reason: "not measured: " + f.Error})
	}
	for _, path := range doc.NotReached {
		g.refused = append(g.refused, report.Refusal{Path: path, Reason: "not measured: the audit was interrupted before it"})
	}
	return nil
}

// measureFor measures clips and gathers their corrections.
func (a app) measureFor(ctx context.Context, j job, clips []string, g *gathered) error {
	found, err := audit.Find(ctx, j.flags.clipTimeout, clips, j.flags.follow)
	if err != nil {
		return err
	}
	con := terminal.New(a.stdout, a.stderr, len(found.Entries), j.flags.quiet)
	defer con.Close()
	measure, dismiss, err := a.measurer(ctx, j, found.Entries, con)
	if err != nil {
		return err
	}
	defer dismiss()
	res := a.measureAll(ctx, ctx, j, audit.Batch{Entries: found.Entries, Measure: measure}, con)
	g.notReached = len(res.NotReached)
	return g.add(&report.Document{Settings: j.flags.settings, Clips: res.Clips, Failed: res.Failed,
		NotReached: res.NotReached})
}

func (a app) printAdjusted(written *report.Adjusted, f measureFlags) error {
	con := terminal.New(a.stdout, a.stderr, 0, true)
	if f.quiet && f.format != inJSON && f.format != inCSV {
		return nil
	}
	return printAs(con, f.format, written, report.WriteAdjustedJSON, csv.WriteAdjusted, text.WriteAdjusted)
}
