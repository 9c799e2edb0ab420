package main

import (
	"errors"

	"github.com/spf13/pflag"

	"stopledger/cmd/internal/config"
	"stopledger/decode/metadata"
)

// takeDefaults sets the flags that were not given to the user's own defaults. A curve named with
// --curve or --assume goes before the one to assume.
func (f *measureFlags) takeDefaults(fs *pflag.FlagSet, own config.Config) error {
	s := &f.settings
	if own.Found {
		s.Config = own.Path
	}
	targeted := f.targeted
	for _, d := range own.Defaults {
		flag := fs.Lookup(d.Flag)
		switch {
		case flag == nil && ofAudit(d.Flag):
			continue
		case flag == nil:
			return own.Errorf(d.Flag, "there is no --%s in this version: leave %s out", d.Flag, d.Flag)
		case flag.Changed || d.Flag == "assume" && fs.Changed("curve") && s.Curve.Curve != nil:
			continue
		}
		if err := flag.Value.Set(d.Text); err != nil {
			return own.Errorf(d.Flag, "%s", defaultMistake(flag, d.Text, err))
		}
		switch d.Flag {
		case "assume":
			s.AssumedBy = metadata.OriginConfig
		case "ei":
			s.IndexBy = metadata.OriginConfig
		}
	}
	f.targeted = targeted // rules go before defaults
	return nil
}

// ofAudit tells whether audit has a flag that another verb may not have.
func ofAudit(name string) bool {
	fs := pflag.NewFlagSet("audit", pflag.ContinueOnError)
	new(measureFlags).add(fs)
	return fs.Lookup(name) != nil
}

// defaultMistake words what is wrong with a default as it is worded of its flag.
func defaultMistake(flag *pflag.Flag, text string, err error) string {
	var ours valueError
	if errors.As(err, &ours) {
		return flag.Name + ours.Error()
	}
	return flag.Name + " cannot be " + text + ": it takes " + wanted(flag)
}
