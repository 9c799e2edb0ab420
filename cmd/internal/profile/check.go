package profile

import (
	"slices"
	"strings"

	"stopledger/analyze/clipping"
	"stopledger/analyze/plan"
	"stopledger/cmd/internal/tomlfile"
)

// Bounds of what a file may hold: well beyond any camera, so that only slips are caught.
const (
	mostLight  = 1.0  // of read noise, and of shot noise for a unit of light
	leastStops = -30  // recorded
	mostStops  = 20   // recorded
	mostCode   = 1023 // on the 10-bit scale
	mostLoss   = 60   // dB either way
	mostTakes  = 100000
)

func (f *file) check(where *tomlfile.File) error {
	switch {
	case where.Line("version") == 0:
		return where.Errorf(nil, "there is no version: this is no file that stopledger profile wrote")
	case f.Version != Version:
		return where.Errorf([]string{"version"}, "version is %d, and this program reads version %d: measure the camera "+
			"again, or use the program that wrote the file", f.Version, Version)
	case strings.TrimSpace(f.Curve) == "":
		return where.Errorf([]string{"curve"}, "curve is not named: a profile holds for one curve")
	case f.Index < 0:
		return where.Errorf([]string{"exposure_index"}, "exposure_index cannot be %d", f.Index)
	case len(f.ISO) == 0:
		return where.Errorf(nil, "there is no ISO: each has a table such as [iso.800]")
	}
	return nil
}

// checkISOs checks that the ISOs named apart have tables.
func (f *file) checkISOs(p *plan.Profile, where *tomlfile.File) error {
	for _, b := range f.BaseISOs {
		if p.At(b) == nil {
			return where.Errorf([]string{"base_isos"}, "base_isos names ISO %d, which has no table [iso.%[1]d]", b)
		}
	}
	if a := f.NoGainAbove; a != nil && p.At(*a) == nil {
		return where.Errorf([]string{"no_gain_above"}, "no_gain_above names ISO %d, which has no table [iso.%[1]d]", *a)
	}
	return nil
}

// A bounded key may only hold numbers within its bounds.
type bounded struct {
	key       string
	value     *float64
	low, high float64
}

func (i iso) check(where *tomlfile.File, number string) error {
	c := i.Ceilings
	if c == nil {
		c = &codes{}
	}
	for _, b := range []bounded{
		{"read_linear", i.Read, 0, mostLight}, {"read_low", i.ReadLow, 0, mostLight}, {"read_high", i.ReadHigh, 0, mostLight},
		{"shot_linear", i.Shot, 0, mostLight}, {"shot_low", i.ShotLow, 0, mostLight}, {"shot_high", i.ShotHigh, 0, mostLight},
		{"floor_stops", i.Floor, leastStops, mostStops}, {"floor_low_stops", i.FloorLow, leastStops, mostStops},
		{"floor_high_stops", i.FloorHigh, leastStops, mostStops}, {"ceiling_stops", i.Ceiling, leastStops, mostStops},
		{"coding_loss_db", i.Coding, -mostLoss, mostLoss},
		{"ceilings", c.R, 0, mostCode}, {"ceilings", c.G, 0, mostCode}, {"ceilings", c.B, 0, mostCode},
	} {
		if b.value != nil && !(*b.value >= b.low && *b.value <= b.high) { // not NaN either
			return where.Errorf([]string{"iso", number, b.key}, "%s of ISO %s cannot be %g: it takes %g to %g", b.key, number,
				*b.value, b.low, b.high)
		}
	}
	origins := []string{string(clipping.Measured), string(clipping.Shoulder), string(clipping.CurveEnd)}
	at := func(key, format string, args ...any) error {
		return where.Errorf([]string{"iso", number, key}, format, args...)
	}
	switch {
	case i.Ceiling == nil:
		return where.Errorf([]string{"iso", number}, "ISO %s has no ceiling_stops", number)
	case !slices.Contains(origins, i.Origin):
		return at("ceiling_origin", "ceiling_origin of ISO %s cannot be %q: it takes %s", number, i.Origin,
			strings.Join(origins, ", "))
	case (i.Read == nil) != (i.Shot == nil):
		return where.Errorf([]string{"iso", number}, "ISO %s has one of read_linear and shot_linear: it takes both, or none",
			number)
	case i.Shot != nil && *i.Shot == 0:
		return at("shot_linear", "shot_linear of ISO %s is 0: light always adds noise", number)
	case i.Takes < 0 || i.Takes > mostTakes || i.Dark < 0 || i.Dark > i.Takes:
		return at("takes", "takes and dark_takes of ISO %s make no sense: %d and %d", number, i.Takes, i.Dark)
	}
	return i.checkOrder(where, number)
}

// checkOrder checks that intervals hold their values.
func (i iso) checkOrder(where *tomlfile.File, number string) error {
	for _, b := range []struct {
		key              string
		low, value, high *float64
	}{
		{"read_linear", i.ReadLow, i.Read, i.ReadHigh}, {"shot_linear", i.ShotLow, i.Shot, i.ShotHigh},
		{"floor_stops", i.FloorLow, i.Floor, i.FloorHigh},
	} {
		if b.value != nil && (b.low != nil && *b.low > *b.value || b.high != nil && *b.high < *b.value) {
			return where.Errorf([]string{"iso", number, b.key}, "%s of ISO %s lies outside its interval", b.key, number)
		}
	}
	return nil
}
