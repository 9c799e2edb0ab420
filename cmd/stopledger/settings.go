package main

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"stopledger/analyze"
	"stopledger/analyze/placement"
	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/profile"
	"stopledger/cmd/internal/rules"
	"stopledger/cmd/internal/terminal"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report/text"
)

// Bounds of what can be asked for: well beyond any use, so that only slips are caught.
const (
	mostLifts        = 6
	mostPatches      = 2
	mostJobs         = 256
	leastReflectance = 0.001 // darker than black velvet

	// leastThreads are those of a clip where others are measured beside it: as fast together as one each, and the last
	// clip of a run has them all.
	leastThreads = 2

	usualTimeout = 30 * time.Second
	leastTimeout = time.Second
	mostTimeout  = 24 * time.Hour
)

// measureFlags are the flags of audit and compare.
type measureFlags struct {
	settings     analyze.Settings
	reflectances []curve.Ratio // one for each region, or of a card
	profile      string        // file of the camera's profile; "" for none
	rules        string        // file of a show's rules; "" for none
	out          string
	noPictures   bool
	format       format
	gate, quiet  bool
	targeted     bool // --target was given
	display      displayFlags
	follow       bool // links in folders
	fresh        bool // use nothing that earlier runs kept
	zip          bool // write the report as one file, too
	jobs         int
	shard        audit.Shard   // part of the run; no N for all of it
	clipTimeout  time.Duration // without progress in a clip
}

// A format is how results are printed.
type format string

const (
	inText format = "text"
	inJSON format = "json"
	inCSV  format = "csv"
)

// printAs writes a document in the format asked for.
func printAs[T any](con *terminal.Console, as format, doc T, asJSON, asCSV func(io.Writer, T) error,
	asText func(io.Writer, T, text.Layout) error) error {
	switch as {
	case inJSON:
		return asJSON(con, doc)
	case inCSV:
		return asCSV(con, doc)
	}
	return asText(con, doc, con.Layout)
}

func (f *measureFlags) add(fs *pflag.FlagSet) {
	f.addReading(fs)
	f.addGrey(fs)
	f.addProfile(fs)
	f.addTarget(fs)
	s := &f.settings
	fs.Func("intended", "`S`: the offset over nominal exposed at on purpose, by which clips are judged; "+
		"the pull goes to the target all the same", f.setIntended)
	f.display.add(fs)
	fs.Func("lift", "`STOPS`: tell the noise under these lifts of what was recorded (default 1,2)",
		numbers(&s.Lifts, checkLift))
	f.addEveryFrame(fs)
	fs.StringVar(&f.out, "out", "", "`DIR`: write the report into this folder: JSON, CSV, text, pages, pictures and a log")
	fs.BoolVar(&f.noPictures, "no-pictures", false, "leave the pictures out of the report")
	f.addFormat(fs)
	f.addFollow(fs)
	fs.BoolVar(&f.gate, "gate", false, "exit with code 4 if a clip broke a rule or has another finding at level alarm")
	f.addJobs(fs)
}

// addMeasuring adds what verbs have that measure clips for something else than a report.
func (f *measureFlags) addMeasuring(fs *pflag.FlagSet) {
	f.addReading(fs)
	f.addGrey(fs)
	f.addEveryFrame(fs)
	f.addFormat(fs)
	f.addFollow(fs)
	f.addJobs(fs)
}

// addTarget adds what clips are to be brought to.
func (f *measureFlags) addTarget(fs *pflag.FlagSet) {
	f.settings.Lifts = []curve.Stops{}
	fs.Func("target", "`STOPS`: placement wanted after the correction, over nominal (default 0); "+
		"scene brings the scene's average there", f.setTarget)
	fs.StringVar(&f.rules, "rules", "", "`FILE`: judge clips by a show's rules (see stopledger help rules)")
}

func (f *measureFlags) addProfile(fs *pflag.FlagSet) {
	fs.StringVar(&f.profile, "profile", "", "`FILE`: the camera's profile, as stopledger profile writes it: it tells the "+
		"noise that a clip hides, and the ceiling where nothing clips")
}

func (f *measureFlags) addFormat(fs *pflag.FlagSet) {
	fs.Func("format", "`WHAT`: what to print: text (default), json or csv", oneOf(&f.format, inText, inJSON, inCSV))
}

func (f *measureFlags) addFollow(fs *pflag.FlagSet) {
	fs.BoolVar(&f.follow, "follow", false, "follow links met in folders; a link named by itself is always followed")
}

func (f *measureFlags) addEveryFrame(fs *pflag.FlagSet) {
	fs.BoolVar(&f.settings.EveryFrame, "every-frame", false,
		"measure every frame, not groups of frames spread over the clip")
}

func (f *measureFlags) addJobs(fs *pflag.FlagSet) {
	fs.IntVar(&f.jobs, "jobs", min(runtime.NumCPU(), mostJobs),
		"`N`: clips measured at a time (default one for each core)")
	f.clipTimeout = usualTimeout
	fs.Func("clip-timeout", "`TIME`: give a clip up that has not got on for so long: no frame decoded (default 30s)",
		f.setTimeout)
	fs.BoolVar(&f.quiet, "quiet", false, "no progress, only results and errors")
}

func (f *measureFlags) addReading(fs *pflag.FlagSet) {
	s := &f.settings
	fs.Func("curve", "`NAME`: the curve recorded with, or a file that holds one; "+
		"auto, the default, reads it from the clip", namedCurve(&s.Curve, metadata.Auto))
	fs.Func("assume", "`NAME`: the curve of clips that do not name theirs",
		namedCurve((*metadata.CurveName)(&s.Assume), ""))
	fs.IntVar(&s.Index, "ei", 0, "`N`: exposure index, for a curve that differs with it")
	fs.Func("range", "`RANGE`: how codes span the signal: auto (default), narrow or full",
		oneOf(&s.Range, metadata.AutoRange, metadata.NarrowRange, metadata.FullRange))
	fs.Func("matrix", "`NAME`: luma matrix: auto (default), bt601, bt709 or bt2020",
		oneOf(&s.Matrix, metadata.AutoMatrix, metadata.BT601, metadata.BT709, metadata.BT2020))
}

func (f *measureFlags) addGrey(fs *pflag.FlagSet) {
	s := &f.settings
	s.Regions = []placement.Patch{}
	fs.Func("region", "`X,Y,W,H`: where the card is, in pixels of the frame; give it twice for two patches", f.addRegion)
	fs.Func("reflectance", "`R`: reflectance of the card or region, 0..1 (default 0.18); once for each region",
		numbers(&f.reflectances, checkReflectance))
	fs.Func("grey", "`WHAT`: what to take grey from: auto (default), region, card, chart, face or scene",
		oneOf(&s.Grey, placement.Auto, placement.Region, placement.Card, placement.Chart, placement.Face, placement.Scene))
	fs.Func("subject", "`WHO`: face lets a face be the ground for a pull or lift; auto (default) does not",
		oneOf(&s.Subject, placement.AnySubject, placement.FaceSubject))
	fs.Func("edition", "`YEAR`: reference values of the 24-patch chart: 2005 (default) for charts made "+
		"before the change of 2014, 2014 for those made after it, 1976 for the values first published", f.setEdition)
	fs.BoolVar(&s.HoldGrey, "hold-grey", false,
		"carry the grey of a card or chart over to the clips after it that have none")
}

func (f *measureFlags) setTarget(text string) error {
	s := &f.settings
	f.targeted = true
	if s.SceneTarget = strings.EqualFold(text, "scene"); s.SceneTarget {
		s.Target = 0
		return nil
	}
	stops, err := strconv.ParseFloat(text, 64)
	if err != nil || !(stops >= -mostStops && stops <= mostStops) {
		takes := fmt.Sprintf("stops over nominal from -%d to %d, or scene", mostStops, mostStops)
		return cannotBe(strconv.Quote(text), takes)
	}
	s.Target = curve.Stops(stops)
	return nil
}

func (f *measureFlags) setIntended(text string) error {
	stops, err := stopsOverNominal(text)
	f.settings.Intended = &stops
	return err
}

func (f *measureFlags) setTimeout(text string) error {
	d, err := time.ParseDuration(text)
	if err != nil || d < leastTimeout || d > mostTimeout {
		return cannotBe(strconv.Quote(text), fmt.Sprintf("a time from %v to %v, as in 30s or 2m", leastTimeout, mostTimeout))
	}
	f.clipTimeout = d
	return nil
}

func (f *measureFlags) setShard(text string) error {
	s, ok := audit.ParseShard(text)
	if !ok {
		return cannotBe(strconv.Quote(text), fmt.Sprintf("K/N, part K of N, as in 2/8; N is at most %d", audit.MostShards))
	}
	f.shard = s
	return nil
}

func (f *measureFlags) setEdition(text string) error {
	if err := f.settings.Edition.UnmarshalText([]byte(text)); err != nil {
		return cannotBe(strconv.Quote(text), "2005, 1976, 2014")
	}
	return nil
}

func (f *measureFlags) addRegion(text string) error {
	r, err := parseRegion(text)
	f.settings.Regions = append(f.settings.Regions, placement.Patch{Region: r})
	return err
}

func checkLift(stops float64) error {
	if !(stops >= -mostStops && stops <= mostStops) {
		return cannotBe(fmt.Sprint(stops), fmt.Sprintf("stops from -%d to %d, as in 1,2", mostStops, mostStops))
	}
	return nil
}

func checkReflectance(r float64) error {
	if !(r >= leastReflectance && r <= 1) {
		return cannotBe(fmt.Sprint(r), fmt.Sprintf("a share of the light from %g to 1, as in 0.18", leastReflectance))
	}
	return nil
}

// complete checks how the flags go together and fills in what follows from them. Each error names
// a flag, what was given and what is allowed.
func (f *measureFlags) complete() error {
	s := &f.settings
	switch {
	case len(s.Lifts) > mostLifts:
		return fmt.Errorf("--lift names %d lifts: %d are the most", len(s.Lifts), mostLifts)
	case f.jobs < 1 || f.jobs > mostJobs:
		return fmt.Errorf("--jobs cannot be %d: it takes a number of clips at a time from 1 to %d", f.jobs, mostJobs)
	}
	s.Threads = max(min(runtime.NumCPU(), leastThreads), runtime.NumCPU()/f.jobs)
	s.Pictures = f.out != "" && !f.noPictures
	if err := f.completeDisplay(); err != nil {
		return err
	}
	if err := f.completeRules(); err != nil {
		return err
	}
	if f.profile != "" {
		var err error
		if f.settings.Profile, err = profile.Load(f.profile); err != nil {
			return fmt.Errorf("--profile: %w", err)
		}
	}
	if err := f.completeCurves(); err != nil {
		return err
	}
	return f.completePatches()
}

// completeDisplay takes the display file. The placement that it expects is where a correction goes,
// unless a target is named.
func (f *measureFlags) completeDisplay() (err error) {
	f.settings.Display, err = f.display.file()
	if f.display.expects != nil && !f.targeted {
		f.settings.Target, f.settings.SceneTarget = *f.display.expects, false
	}
	return err
}

// completeRules reads the rules. What flags name goes before what rules do.
func (f *measureFlags) completeRules() error {
	if f.rules == "" {
		return nil
	}
	set, err := rules.Load(f.rules)
	if err != nil {
		return fmt.Errorf("--rules: %w", err)
	}
	f.settings.Rules = set
	for i := range set.Sections {
		if f.settings.Intended != nil {
			set.Sections[i].Intended = nil
		}
		if f.targeted {
			set.Sections[i].Target = nil
		}
	}
	return nil
}

// completeCurves takes the curves at the exposure index asked for.
func (f *measureFlags) completeCurves() error {
	s := &f.settings
	switch {
	case s.Index < 0:
		return fmt.Errorf("--ei cannot be %d: it takes an exposure index such as 800", s.Index)
	case s.Assume.Given != "" && s.Curve.Curve != nil:
		return errors.New("--assume is for clips that name no curve; with --curve it has no use: leave one out")
	case s.Index == 0 || s.IndexBy == metadata.OriginConfig: // clips name theirs
		return nil
	}
	if err := atIndex("--curve", &s.Curve, s.Index); err != nil {
		return err
	}
	return atIndex("--assume", (*metadata.CurveName)(&s.Assume), s.Index)
}

func atIndex(flag string, c *metadata.CurveName, index int) error {
	if c.Curve == nil {
		return nil
	}
	at, err := c.Curve.WithIndex(index)
	if err != nil {
		return fmt.Errorf("%s: %w", flag, err)
	}
	c.Curve = at
	return nil
}

// completePatches gives each region its reflectance.
func (f *measureFlags) completePatches() error {
	s := &f.settings
	switch n, m := len(s.Regions), len(f.reflectances); {
	case n > mostPatches:
		return fmt.Errorf("--region was given %d times: two patches are the most", n)
	case n == mostPatches && m != mostPatches:
		return errors.New("two patches need --reflectance twice too, in the same order")
	case n < mostPatches && m > 1:
		return fmt.Errorf("--reflectance was given %d times for %d regions: give it once for each", m, n)
	case n == 0 && s.Grey == placement.Region:
		return errors.New("--grey region needs --region X,Y,W,H")
	}
	s.Reflectance = curve.MidGrey
	if len(f.reflectances) > 0 {
		s.Reflectance = f.reflectances[0]
	}
	for i := range s.Regions {
		s.Regions[i].Reflectance = s.Reflectance
		if i > 0 {
			s.Regions[i].Reflectance = f.reflectances[i]
		}
	}
	if len(s.Regions) > 0 {
		s.Region = &s.Regions[0].Region
	}
	return nil
}
