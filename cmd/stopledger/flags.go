package main

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"stopledger/report"
)

// measureFlags are the flags of audit and compare as typed.
type measureFlags struct {
	curve, assume          string
	ei                     int
	rangeName, matrix      string
	regions                []string
	reflectances           []float64
	grey, subject, edition string
	holdGrey               bool
	target                 string
	lifts                  []float64
	everyFrame             bool
	out                    string
	noPictures             bool
	format                 string
	gate, quiet            bool
	jobs                   int
}

// Choices of the flags that name one of a few; the first is the default.
var (
	rangeChoices   = []string{"auto", "narrow", "full"}
	matrixChoices  = []string{"auto", "bt601", "bt709", "bt2020"}
	greyChoices    = []string{"auto", "region", "card", "chart", "face", "scene"}
	subjectChoices = []string{"auto", "face"}
	editionChoices = []string{"2005", "1976", "2014"}
	formatChoices  = []string{"text", "json", "csv"}
)

func (f *measureFlags) add(fs *pflag.FlagSet) {
	f.addReading(fs)
	f.addGrey(fs)
	fs.StringVar(&f.target, "target", "0", "`STOPS`: placement wanted after the correction, over nominal (default 0); scene brings the scene's average there")
	fs.Float64SliceVar(&f.lifts, "lift", nil, "`STOPS`: tell the noise under these lifts of what was recorded (default 1,2)")
	fs.BoolVar(&f.everyFrame, "every-frame", false, "measure every frame, not groups of frames spread over the clip")
	fs.StringVar(&f.out, "out", "", "`DIR`: write the report into this folder: JSON, CSV, text, pages and pictures")
	fs.BoolVar(&f.noPictures, "no-pictures", false, "leave the pictures out of the report")
	fs.StringVar(&f.format, "format", formatChoices[0], "`WHAT`: what to print: text (default), json or csv")
	fs.BoolVar(&f.gate, "gate", false, "exit with code 4 if a clip has a finding at level alarm")
	fs.IntVar(&f.jobs, "jobs", max(1, runtime.NumCPU()/2), "`N`: clips measured at a time (default half of the cores)")
	fs.BoolVar(&f.quiet, "quiet", false, "no progress, only results and errors")
}

func (f *measureFlags) addReading(fs *pflag.FlagSet) {
	fs.StringVar(&f.curve, "curve", "auto", "`NAME`: the curve recorded with, or a file that holds one; auto, the default, reads it from the clip")
	fs.StringVar(&f.assume, "assume", "", "`NAME`: the curve of clips that do not name theirs")
	fs.IntVar(&f.ei, "ei", 0, "`N`: exposure index, for a curve that differs with it")
	fs.StringVar(&f.rangeName, "range", rangeChoices[0], "`RANGE`: how codes span the signal: auto (default), narrow or full")
	fs.StringVar(&f.matrix, "matrix", matrixChoices[0], "`NAME`: luma matrix: auto (default), bt601, bt709 or bt2020")
}

func (f *measureFlags) addGrey(fs *pflag.FlagSet) {
	fs.StringArrayVar(&f.regions, "region", nil, "`X,Y,W,H`: where the card is, in pixels of the frame; give it twice for two patches")
	fs.Float64SliceVar(&f.reflectances, "reflectance", nil, "`R`: reflectance of the card or region, 0..1 (default 0.18); once for each region")
	fs.StringVar(&f.grey, "grey", greyChoices[0], "`WHAT`: what to take grey from: auto (default), region, card, chart, face or scene")
	fs.StringVar(&f.subject, "subject", subjectChoices[0], "`WHO`: face lets a face be the ground for a pull or lift; auto (default) does not")
	fs.StringVar(&f.edition, "edition", editionChoices[0], "`YEAR`: edition of the 24-patch chart: 2005 (default), 1976 or 2014")
	fs.BoolVar(&f.holdGrey, "hold-grey", false, "carry the grey of a card or chart over to the clips after it that have none")
}

// parse reads a verb's arguments into its flags. --help prints usage to stdout and returns
// pflag.ErrHelp; a mistake is a usageError.
func parse(verb, usage string, fs *pflag.FlagSet, args []string, stdout io.Writer) error {
	fs.SortFlags = false
	fs.SetOutput(io.Discard)
	fs.Usage = func() {}
	err := fs.Parse(args)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, pflag.ErrHelp):
		if _, err := io.WriteString(stdout, usage+flagHelp(fs)+"\n"+exitHelp); err != nil {
			return err
		}
		return pflag.ErrHelp
	}
	return &usageError{verb: verb, text: flagMistake(fs, err), err: err}
}

// flagHelp lists flags in the order in which they were added. The usage of a flag that takes a
// value starts with that value's name, quoted, and a colon.
func flagHelp(fs *pflag.FlagSet) string {
	if !fs.HasFlags() {
		return ""
	}
	const width, indent = 98, 22
	var b strings.Builder
	b.WriteString("\nFlags:\n")
	fs.VisitAll(func(f *pflag.Flag) {
		value, usage := pflag.UnquoteUsage(f)
		if f.Value.Type() == "bool" {
			value = ""
		}
		head := fmt.Sprintf("  %-*s", indent-2, strings.TrimSpace("--"+f.Name+" "+value))
		text := report.Wrap(strings.TrimPrefix(usage, value+": "), strings.Repeat(" ", indent), width)
		b.WriteString(head + text[indent:])
	})
	return b.String()
}

// flagMistake words what pflag found wrong, with the nearest flag that exists.
func flagMistake(fs *pflag.FlagSet, err error) string {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() != "":
		return fmt.Sprintf("there is no flag -%s; flags have two dashes", unknown.GetSpecifiedShortnames())
	case errors.As(err, &unknown):
		text := "there is no flag --" + unknown.GetSpecifiedName()
		var names []string
		fs.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := nearest(unknown.GetSpecifiedName(), append(names, "help")); near != "" {
			text += "; did you mean --" + near + "?"
		}
		return text
	case errors.As(err, &value):
		return fmt.Sprintf("--%s cannot be %q: it takes %s", value.GetFlag().Name, value.GetValue(), wanted(value.GetFlag()))
	}
	return err.Error()
}

// wanted says what kind of value a flag takes.
func wanted(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "int":
		return "a whole number"
	case "float64":
		return "a number"
	case "float64Slice":
		return "numbers separated by commas"
	case "bool":
		return "true or false"
	}
	return "a " + f.Value.Type()
}

// oneOf checks a flag that names one of a few, without case.
func oneOf(flag, value string, choices []string) (string, error) {
	value = strings.ToLower(value)
	if !slices.Contains(choices, value) {
		return "", fmt.Errorf("--%s cannot be %q: it takes %s", flag, value, strings.Join(choices, ", "))
	}
	return value, nil
}
